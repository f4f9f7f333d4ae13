using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters;

/// <summary>One change of a pin, stamped by the adapter's hardware beside the looks that saw it.</summary>
/// <param name="Coarse">The change as the looks saw it.</param>
/// <param name="Stamp">What the hardware latched, on the capture's clock.</param>
/// <param name="Least">From the change at the pin to the stamp, at least, as the adapter states it; not negative.</param>
/// <param name="Most">The same, at most, with the step of the stamp itself.</param>
public sealed record FineStamp(Change Coarse, Instant Stamp, Duration Least, Duration Most)
{
    /// <summary>The change, known by both: it lies in what their intervals have in common.</summary>
    public Change Change => Within(Least, Most)!.Value;

    /// <summary>The same with a latency that is known better; null when the two intervals then have nothing in common.</summary>
    public Change? Within(Duration least, Duration most)
    {
        var (after, notAfter) = (Instant.Max(Coarse.After, Stamp - most), Instant.Min(Coarse.NotAfter, Stamp - least));
        return after < notAfter ? Coarse with { After = after, NotAfter = notAfter } : null;
    }
}

/// <summary>What came of a program's <see cref="Core.Scheduling.FinePoint"/>: a stamp, or why there is none that can be used.</summary>
/// <param name="Unusable">For people; null exactly when there is a stamp.</param>
public sealed record FineReading(string Pin, Level Level, FineStamp? Stamp, string? Unusable);
