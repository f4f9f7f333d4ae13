using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>How punctual a host was that looked at pins and served steps by itself.</summary>
/// <param name="Looks">Looks at all pins.</param>
/// <param name="MeanWidth">Mean of all looks' <paramref name="LongestWidth"/>.</param>
/// <param name="LongestWidth">
/// The widest interval that a look left for a change: from the earliest instant to which the look before may belong to the end of the look.
/// </param>
/// <param name="LateLooks">Looks that left a wider interval than the stated resolution; each is in a gap.</param>
/// <param name="StepLateness">For each step of the program that was served, how long after its planned instant.</param>
public sealed record HostTiming(int Looks, Duration MeanWidth, Duration LongestWidth, int LateLooks, ImmutableArray<Duration> StepLateness)
{
    /// <summary>Zero when no step was served.</summary>
    public Duration LatestStep => StepLateness.IsEmpty ? Duration.Zero : StepLateness.Max();
}
