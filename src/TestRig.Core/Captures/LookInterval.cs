using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>A change was made in (<paramref name="After"/>, <paramref name="NotAfter"/>], in ticks from the capture's start.</summary>
public readonly record struct LookInterval(long After, long NotAfter)
{
    /// <summary>The same as a change to <paramref name="level"/> on a clock of this tick.</summary>
    public Change To(Level level, Duration tick) =>
        new(Instant.Start + (tick * After), Instant.Start + (tick * NotAfter), level);
}

/// <summary>A stretch of ticks without looks.</summary>
public readonly record struct TickGap(long From, long To);
