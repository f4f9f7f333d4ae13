using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A delay as a data sheet gives it. A sheet often omits the minimum, and for old parts the maximum too.</summary>
public sealed record DelayLimits(Duration? Minimum, Duration Typical, Duration? Maximum, string Source)
{
    /// <summary>
    /// Where a sheet gives no maximum, twice the typical value is taken as the latest permitted (common practice; the one published pair we hold,
    /// 4N35 tr/tf 3 µs typical and 10 µs maximum, is wider, so a profile may override it).
    /// </summary>
    public const int LatestOverTypical = 2;

    public DelayRange ToRange(string what) => new(
        Minimum ?? Duration.Zero,
        Maximum ?? (Typical * LatestOverTypical),
        Maximum is { } maximum
            ? $"{what} {maximum} maximum ({Source})"
            : $"{what} {Typical} typical ×{LatestOverTypical} ({Source}; factor: common practice)");
}
