using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters;

/// <summary>One change of a pin, stamped by the adapter's hardware beside the looks that saw it.</summary>
/// <param name="Coarse">The change as the looks saw it.</param>
/// <param name="Stamp">What the hardware latched, on the capture's clock.</param>
/// <param name="Least">From what was stamped to the stamp, at least, as the adapter states it; not negative.</param>
/// <param name="Most">The same, at most, with the step of the stamp itself.</param>
public sealed record FineStamp(Change Coarse, Instant Stamp, Duration Least, Duration Most)
{
    /// <summary>
    /// Zero where the change itself was stamped. Else the pin's voltage crossed a reference that lies below where the input changes: so long before a change to high,
    /// or behind one to low, at most.
    /// </summary>
    public Duration Transit { get; init; }

    /// <summary>The change, known by both: it lies in what their intervals have in common.</summary>
    public Change Change => Within(Least, Most)!.Value;

    /// <summary>True when the looks alone know as much.</summary>
    public bool AddsNothing => Change == Coarse;

    /// <summary>The change did not come before this, for the stamp alone.</summary>
    public Instant NotBefore => Earliest(Most);

    /// <summary>The latencies that agree with what the looks saw: more than the first, up to the second. Not held against what the adapter states.</summary>
    public (Duration Least, Duration Most) Agreeing =>
        (Stamp - Coarse.NotAfter - (Rising ? Duration.Zero : Transit), Stamp - Coarse.After + (Rising ? Transit : Duration.Zero));

    private bool Rising => Coarse.Level == Level.High;

    /// <summary>The same with a latency that is known better; null when the two intervals then have nothing in common.</summary>
    public Change? Within(Duration least, Duration most)
    {
        var (after, notAfter) = (Instant.Max(Coarse.After, Earliest(most)), Instant.Min(Coarse.NotAfter, Stamp - least + (Rising ? Transit : Duration.Zero)));
        return after < notAfter ? Coarse with { After = after, NotAfter = notAfter } : null;
    }

    private Instant Earliest(Duration most) => Stamp - most - (Rising ? Duration.Zero : Transit);
}

/// <summary>What came of a program's <see cref="Core.Scheduling.FinePoint"/>: a stamp, or why there is none that can be used.</summary>
/// <param name="Unusable">For people; null exactly when there is a stamp.</param>
public sealed record FineReading(string Pin, Level Level, FineStamp? Stamp, string? Unusable)
{
    /// <summary>Why it told nothing that the looks had not told; null when it did.</summary>
    public string? NoUse => Unusable ?? (Stamp is { AddsNothing: true }
        ? $"{Pin} crossed the hardware's reference up to {Stamp.Transit} {(Level == Level.High ? "before" : "behind")} its change, and was looked at more closely than that"
        : null);
}
