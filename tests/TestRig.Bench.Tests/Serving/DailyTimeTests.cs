using System.Globalization;
using TestRig.Bench.Serving;

namespace TestRig.Bench.Tests.Serving;

/// <summary>
/// Times of day by the clock on the wall. The zones are written here after the rules that are in force, so that no test needs the machine's own: Central Europe by Directive 2000/84/EC (last Sundays of March and October, 01:00 UTC),
/// New South Wales by the tz database (first Sundays of October at 02:00 and of April at 03:00, wall clock), Chile by the same (summer begins at midnight between Saturday and Sunday).
/// </summary>
public class DailyTimeTests
{
    private static readonly TimeZoneInfo _berlin = Zone("Berlin", 1, LastSunday(3, 2), LastSunday(10, 3));

    private static readonly TimeZoneInfo _sydney = Zone("Sydney", 10, Sunday(10, 1, 2), Sunday(4, 1, 3));

    private static readonly TimeZoneInfo _santiago = Zone("Santiago", -4, Sunday(9, 1, 0), Sunday(4, 1, 0));

    private static readonly Dictionary<string, TimeZoneInfo> _zones = new() { ["Berlin"] = _berlin, ["Sydney"] = _sydney, ["Santiago"] = _santiago, ["UTC"] = TimeZoneInfo.Utc };

    [Theory]
    [InlineData("20:00", 20, 0)]
    [InlineData("00:00", 0, 0)]
    [InlineData("23:59", 23, 59)]
    [InlineData("07:05", 7, 5)]
    public void Hours_and_minutes_are_read_and_written_alike(string written, int hour, int minute)
    {
        Assert.Equal(new DailyTime(hour, minute), DailyTime.Parse(written));
        Assert.Equal(written, new DailyTime(hour, minute).ToString());
    }

    [Theory]
    [InlineData("")]
    [InlineData("24:00")]
    [InlineData("20:60")]
    [InlineData("8:00")]
    [InlineData("20.00")]
    [InlineData("8 pm")]
    [InlineData("20:00:00")]
    [InlineData("-1:00")]
    public void Anything_else_is_no_time_of_day(string written) => Assert.Null(DailyTime.Parse(written));

    [Theory]
    [InlineData("Berlin", "02:30", "2026-03-28T12:00:00+01:00", "2026-03-29T03:00:00+02:00")] // Clocks jump from 02:00 to 03:00: the instant of the jump.
    [InlineData("Berlin", "02:00", "2026-03-28T12:00:00+01:00", "2026-03-29T03:00:00+02:00")]
    [InlineData("Berlin", "01:59", "2026-03-28T12:00:00+01:00", "2026-03-29T01:59:00+01:00")]
    [InlineData("Berlin", "03:00", "2026-03-28T12:00:00+01:00", "2026-03-29T03:00:00+02:00")]
    [InlineData("Berlin", "02:30", "2026-03-29T03:00:00+02:00", "2026-03-30T02:30:00+02:00")]
    [InlineData("Berlin", "02:30", "2026-10-24T12:00:00+02:00", "2026-10-25T02:30:00+02:00")] // They show it twice: the first.
    [InlineData("Berlin", "02:30", "2026-10-25T02:30:00+02:00", "2026-10-26T02:30:00+01:00")]
    [InlineData("Berlin", "02:30", "2026-10-25T02:10:00+01:00", "2026-10-26T02:30:00+01:00")] // Between the second's hour and its minute: it was.
    [InlineData("Berlin", "03:00", "2026-10-25T02:59:00+01:00", "2026-10-25T03:00:00+01:00")]
    [InlineData("Sydney", "02:30", "2026-10-03T12:00:00+10:00", "2026-10-04T03:00:00+11:00")]
    [InlineData("Sydney", "02:30", "2026-04-04T12:00:00+11:00", "2026-04-05T02:30:00+11:00")]
    [InlineData("Sydney", "02:30", "2026-04-05T02:30:00+11:00", "2026-04-06T02:30:00+10:00")]
    [InlineData("Santiago", "00:30", "2026-09-05T12:00:00-04:00", "2026-09-06T01:00:00-03:00")] // The day has no first hour.
    [InlineData("Santiago", "23:30", "2026-04-04T23:10:00-03:00", "2026-04-04T23:30:00-03:00")] // The day has its last hour twice.
    [InlineData("Santiago", "23:30", "2026-04-04T23:10:00-04:00", "2026-04-05T23:30:00-04:00")]
    [InlineData("UTC", "20:00", "2026-12-31T20:00:00+00:00", "2027-01-01T20:00:00+00:00")]
    public void The_next_one_is_by_the_clock_on_the_wall(string zone, string time, string after, string expected)
    {
        var next = DailyTime.Parse(time)!.Value.After(Instant(after), _zones[zone]);
        Assert.Equal(Instant(expected), next);
        Assert.Equal(Instant(expected).Offset, next.Offset);
    }

    /// <summary>From one to the next, as a schedule goes: each date of the year comes once, in order, whatever the clocks do.</summary>
    [Theory]
    [InlineData("Berlin")]
    [InlineData("Sydney")]
    [InlineData("Santiago")]
    public void It_comes_exactly_once_each_day_of_a_year(string name)
    {
        var zone = _zones[name];
        for (var minute = 0; minute < 24 * 60; minute++)
        {
            var time = new DailyTime(minute / 60, minute % 60);
            var at = Instant("2025-12-31T12:00:00+00:00");
            var expected = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(time.After(at, zone), zone).DateTime);
            for (var day = 0; day < 366; day++, expected = expected.AddDays(1))
            {
                var next = time.After(at, zone);
                Assert.True(next > at, $"{time} after {at:O} is {next:O}");
                if (DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(next, zone).DateTime) != expected)
                    Assert.Fail($"{time} after {at:O} is {next:O}, and not on {expected:O}");
                at = next;
            }
        }
    }

    /// <summary>Wherever between two of them one asks, it is the later one.</summary>
    [Theory]
    [InlineData("2026-03-28T18:00:00+00:00")]
    [InlineData("2026-10-24T18:00:00+00:00")]
    public void Asked_in_any_minute_it_is_the_earliest_that_is_still_to_come(string begin)
    {
        foreach (var time in (DailyTime[])[new(2, 30), new(2, 0), new(3, 0), new(1, 59)])
        {
            var (from, due) = (Instant(begin), time.After(Instant(begin), _berlin));
            for (var minute = 0; minute < 36 * 60; minute++)
            {
                var now = from.AddMinutes(minute);
                if (now >= due)
                    due = time.After(due, _berlin);
                Assert.Equal(due, time.After(now, _berlin));
            }
        }
    }

    private static DateTimeOffset Instant(string written) => DateTimeOffset.ParseExact(written, "yyyy-MM-dd'T'HH:mm:sszzz", CultureInfo.InvariantCulture);

    private static TimeZoneInfo.TransitionTime LastSunday(int month, int hour) => Sunday(month, 5, hour);

    /// <param name="week">5 is the last.</param>
    private static TimeZoneInfo.TransitionTime Sunday(int month, int week, int hour) => TimeZoneInfo.TransitionTime.CreateFloatingDateRule(new(1, 1, 1, hour, 0, 0), month, week, DayOfWeek.Sunday);

    /// <summary>An hour of summer time between two changes of the clock, each by the clock that it changes.</summary>
    private static TimeZoneInfo Zone(string name, int hours, TimeZoneInfo.TransitionTime begins, TimeZoneInfo.TransitionTime ends) => TimeZoneInfo.CreateCustomTimeZone(
        name, TimeSpan.FromHours(hours), name, name, name, [TimeZoneInfo.AdjustmentRule.CreateAdjustmentRule(DateTime.MinValue.Date, DateTime.MaxValue.Date, TimeSpan.FromHours(1), begins, ends)]);
}
