using System.Globalization;

namespace TestRig.Bench.Serving;

/// <summary>A time of day at which something happens every day, by the clock on the wall.</summary>
/// <param name="Hour">0 to 23.</param>
/// <param name="Minute">0 to 59.</param>
public readonly record struct DailyTime(int Hour, int Minute)
{
    /// <summary>"20:00"; null for anything else.</summary>
    public static DailyTime? Parse(string text) =>
        TimeOnly.TryParseExact(text, "HH:mm", CultureInfo.InvariantCulture, DateTimeStyles.None, out var time) ? new(time.Hour, time.Minute) : null;

    /// <summary>
    /// The next such time after an instant. On a day on which clocks jump over it, it is the instant of the jump; where they show it twice, it is the first of the two: once a day, always.
    /// </summary>
    public DateTimeOffset After(DateTimeOffset after, TimeZoneInfo zone)
    {
        var day = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(after, zone).Date);
        // What it was told in the hour that comes twice may be the day's only one: that day is looked at, too.
        for (; ; day = day.AddDays(1))
        {
            if (On(day, zone) is var candidate && candidate > after)
                return candidate;
        }
    }

    private DateTimeOffset On(DateOnly day, TimeZoneInfo zone)
    {
        var wall = day.ToDateTime(new(Hour, Minute));
        if (zone.IsInvalidTime(wall))
        {
            // Clocks jump from the last valid minute on.
            while (zone.IsInvalidTime(wall))
                wall = wall.AddMinutes(1);
        }
        var offset = zone.IsAmbiguousTime(wall) ? zone.GetAmbiguousTimeOffsets(wall).Max() : zone.GetUtcOffset(wall);
        return new(wall, offset);
    }

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Hour:00}:{Minute:00}");
}
