namespace TestRig.Bench.Storage;

/// <summary>An instant as the store keeps it, exact on every database: ticks of 100 ns of UTC, and the minutes that a clock there is ahead of UTC.</summary>
internal static class StoredInstant
{
    public static long Offset(DateTimeOffset instant) => instant.TotalOffsetMinutes;

    public static DateTimeOffset Of(long ticks, long offset) => new DateTimeOffset(ticks, TimeSpan.Zero).ToOffset(TimeSpan.FromMinutes(offset));

    public static DateTimeOffset? Of(long? ticks, long? offset) => ticks is { } some ? Of(some, offset ?? 0) : null;
}
