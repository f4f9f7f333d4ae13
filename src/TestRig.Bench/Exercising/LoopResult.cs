using System.Collections.Immutable;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>What a loop test measured.</summary>
/// <param name="Repeats">How often the line was switched on and off.</param>
/// <param name="Resolution">Of the adapter: no delay below it means more than "less than this".</param>
/// <param name="Delays">By pin and edge: the drive pin itself where it is sampled, then the input.</param>
public sealed record LoopResult(string Line, string Input, int Repeats, Duration Resolution, ImmutableArray<LoopDelays> Delays)
{
    /// <summary>True when the input followed every edge with exactly one change.</summary>
    public bool Good => Delays.Where(delays => delays.Pin == Input).All(delays => delays.Seen == Repeats);
}

/// <summary>The delays of one pin to one level, from the planned instant of the command.</summary>
/// <param name="To">The level that the edge ends at: high when the line goes on.</param>
/// <param name="Seen">Edges that the pin followed with exactly one change.</param>
/// <param name="Minimum">Null, like the others, when no edge was followed.</param>
/// <param name="Uncertainty">Largest expanded uncertainty (k = 2) of a single delay.</param>
public sealed record LoopDelays(string Pin, Level To, int Seen, Duration? Minimum, Duration? Mean, Duration? Maximum, Duration? Uncertainty)
{
    public static LoopDelays Of(string pin, Level to, IReadOnlyCollection<MeasuredDelay> delays) => delays.Count == 0
        ? new(pin, to, 0, null, null, null, null)
        : new(
            pin,
            to,
            delays.Count,
            delays.Min(delay => delay.Value),
            new((long)Math.Round(delays.Average(delay => (double)delay.Value.Picoseconds))),
            delays.Max(delay => delay.Value),
            delays.Max(delay => delay.ExpandedUncertainty));
}
