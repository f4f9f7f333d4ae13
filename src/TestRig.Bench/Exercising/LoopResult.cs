using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>What a loop test measured.</summary>
/// <param name="Repeats">How often the line was switched on and off.</param>
/// <param name="Resolution">Of the adapter: no delay below it means more than "less than this".</param>
/// <param name="Delays">By pin and edge: the drive pin itself where it is sampled, then the input.</param>
public sealed record LoopResult(string Line, string Input, int Repeats, Duration Resolution, ImmutableArray<LoopDelays> Delays)
{
    /// <summary>The input's edges as hardware stamped them; empty where the adapter's hardware cannot.</summary>
    public ImmutableArray<LoopFine> Fine { get; init; } = [];

    /// <summary>True when the input followed every edge with exactly one change.</summary>
    public bool Followed => Delays.Where(delays => delays.Pin == Input).All(delays => delays.Seen == Repeats);

    /// <summary>True when it did, and hardware, where it can, stamped each edge within what the adapter states.</summary>
    public bool Good => Followed && Fine.All(fine => fine.Delays.Seen == Repeats && fine.Latency is not null);
}

/// <summary>The delays of one pin to one level, from the planned instant of the command.</summary>
/// <param name="To">The level that the edge ends at: high when the line goes on.</param>
/// <param name="Seen">Edges that the pin followed with exactly one change.</param>
/// <param name="Minimum">Null, like the others, when no edge was followed.</param>
/// <param name="Uncertainty">Largest expanded uncertainty (95 %) of a single delay.</param>
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

/// <summary>The stamps of one edge, and the calibration that follows from them.</summary>
/// <param name="Delays">From the planned instant of the command, with the calibrated latency where there is one.</param>
/// <param name="Stated">The latency that the adapter states.</param>
/// <param name="Latency">The calibrated latency: what of the stated one agrees with every repeat. Null when no latency agrees with all of them, or there is no stamp.</param>
/// <param name="Spread">Largest minus smallest delay.</param>
/// <param name="Unusable">Why the last repeat without a usable stamp had none; null when each had one.</param>
public sealed record LoopFine(LoopDelays Delays, LatencyRange? Stated, LatencyRange? Latency, Duration? Spread, string? Unusable)
{
    /// <summary>
    /// The change lies in the interval of the looks, and before its stamp by the latency. Each repeat, in another phase of the row of looks, thus leaves a range
    /// for the latency; it is the same every time, so it lies in what all the ranges have in common.
    /// </summary>
    /// <param name="stamped">Each with the planned instant of its command.</param>
    public static LoopFine Of(string input, Level to, IReadOnlyCollection<(Duration At, FineStamp Stamp)> stamped, double clockTolerance, string? unusable)
    {
        if (stamped.Count == 0)
            return new(LoopDelays.Of(input, to, []), null, null, null, unusable);
        var stated = new LatencyRange(stamped.Max(item => item.Stamp.Least), stamped.Min(item => item.Stamp.Most));
        var least = stamped.Max(item => item.Stamp.Agreeing.Least);
        var most = stamped.Min(item => item.Stamp.Agreeing.Most);
        var calibrated = new LatencyRange(Duration.Max(stated.Least, least), most < stated.Most ? most : stated.Most);
        var agrees = calibrated.Least < calibrated.Most;
        var used = agrees ? calibrated : stated;
        var delays = LoopDelays.Of(input, to, [.. stamped.Select(item => MeasuredDelay.Between(
            new(Instant.Start + item.At, Instant.Start + item.At, to), item.Stamp.Within(used.Least, used.Most) ?? item.Stamp.Change, clockTolerance))]);
        return new(delays, stated, agrees ? calibrated : null, delays.Maximum - delays.Minimum, unusable);
    }
}

/// <summary>From a change at a pin to its stamp: more than the least, up to the most.</summary>
public sealed record LatencyRange(Duration Least, Duration Most);
