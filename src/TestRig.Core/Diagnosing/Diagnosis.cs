using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>What explains the findings of a sweep, and what to do.</summary>
/// <param name="Faults">Independent faults, the one that explains most channels first.</param>
/// <param name="NextProbe">The measurement that would tell most now; null when nothing is left to tell.</param>
/// <param name="Unexplained">Channels that are not working and that no single fault of the model explains.</param>
public sealed record Diagnosis(ImmutableArray<Fault> Faults, string? NextProbe, ImmutableArray<string> Unexplained)
{
    /// <summary>The net to pull low, where <see cref="NextProbe"/> proposes that; null where it does not.</summary>
    public string? InjectAt { get; init; }

    /// <summary>So much of what was seen is not as these faults have it; 0 when they explain all of it.</summary>
    public int Misfits { get; init; }

    /// <summary>Nothing is known to be wrong.</summary>
    public static Diagnosis None { get; } = new([], null, []);

    /// <summary>The suspects of all faults.</summary>
    public IEnumerable<Suspect> Suspects => Faults.SelectMany(fault => fault.Suspects);
}
