using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

public class ChannelRepeatsTests
{
    private static readonly Exercise _exercise = Some.Exercise(Some.Board().Channels[0]);

    [Fact]
    public void Of_one_exercise_nothing_is_added()
    {
        var single = Good();
        Assert.Same(single, Together(single));
        Assert.Null(new ChannelRepeats(_exercise.Channel, ExerciseMode.LogicOnly, Duration.Zero).Result);
    }

    [Theory]
    [InlineData(1, 4)]
    [InlineData(4, 1)]
    [InlineData(2, 2)]
    public void What_fails_in_some_repeats_is_intermittent_with_its_count(int failing, int working)
    {
        var result = Together([.. Enumerable.Repeat(Dead(), failing), .. Enumerable.Repeat(Good(), working)]);
        Assert.Equal(Condition.Intermittent, result.Condition);
        Assert.Contains($"in {failing} of {failing + working} repeats, and worked in {working}", result.Summary, StringComparison.Ordinal);
        Assert.Equal("OK1.5", result.FirstFailure!.TestPoint);
        Assert.Equal((failing + working, failing), (result.FirstFailure.Repeats!.Number, result.FirstFailure.Repeats.Agreeing));
        Assert.Equal<RepeatOutcome>([new(Condition.Dead, failing), new(Condition.Working, working)], result.Outcomes.AsEnumerable());
    }

    [Fact]
    public void What_fails_in_all_repeats_fails_as_it_did()
    {
        var result = Together(Dead(), Dead(), Dead());
        Assert.Equal(Condition.Dead, result.Condition);
        Assert.Equal(Dead().Summary, result.Summary);
    }

    /// <summary>The drive point falls as commanded, and it moves too often: two findings about one expectation.</summary>
    [Fact]
    public void A_point_that_is_told_of_twice_is_counted_once_for_each()
    {
        var signals = Some.Signals(_exercise, Some.GoodDelays);
        var on = _exercise.OnAt.ToSeconds() * 1e6;
        signals[0] = signals[0] with { Changes = [signals[0].Changes[0], Some.Change(on + 9_000, signals[0].Initial), Some.Change(on + 9_500, signals[0].Changes[0].Level), signals[0].Changes[1]] };
        var restless = Some.Judge(_exercise, signals);
        Assert.True(restless.Findings.Count(finding => finding is { TestPoint: "J1.2", Expected: Expectation.Falls }) == 2, restless.Summary);
        var result = Together(restless, restless, restless);
        Assert.All(result.Findings, finding => Assert.Equal((3, 3), (finding.Repeats!.Number, finding.Repeats.Agreeing)));
        Assert.Equal(restless.FirstFailure!.Words, result.FirstFailure!.Words);
    }

    [Fact]
    public void What_could_not_be_judged_in_one_repeat_is_not_working()
    {
        var result = Together(Good(), Untested(), Good());
        Assert.Equal(Condition.NotTested, result.Condition);
        Assert.Contains("in 1 of 3 repeats", result.Summary, StringComparison.Ordinal);
        Assert.Equal(Condition.Intermittent, Together(Good(), Untested(), Dead()).Condition);
    }

    [Fact]
    public void Slow_in_one_repeat_and_in_time_in_another_is_intermittent()
    {
        var slow = Judge((0.1, 0.1), (0.2, 0.2), (300, 105.2), (305, 120.2));
        Assert.Equal(Condition.Slow, slow.Condition);
        Assert.Equal(Condition.Intermittent, Together(slow, Good(), Good()).Condition);
    }

    [Fact]
    public void Slow_in_one_repeat_and_not_resolved_in_the_others_is_slow()
    {
        var latest = Latest("OK1.5", Expectation.Falls);
        var slow = Judge(At(latest + 2.5));
        var untold = Judge(At(latest + 0.2));
        Assert.Equal((Condition.Slow, Condition.Working), (slow.Condition, untold.Condition));
        Assert.Equal(Condition.Slow, Together(slow, untold, untold).Condition);
    }

    /// <summary>
    /// The command's edge is known to 1.3 µs, the answer to 50 ns, and the schedule steps the one against the other: no single repeat tells whether a buffer needs its 14 ns or 300, the mean of
    /// two hundred does.
    /// </summary>
    [Theory]
    [InlineData(0.3, 200, Condition.Slow, Verdict.Late, Timing.Violates)]
    [InlineData(0.3, 2, Condition.Working, Verdict.Conforms, Timing.NotResolved)]
    [InlineData(0.01, 200, Condition.Working, Verdict.Conforms, Timing.NotResolved)]
    public void A_mean_may_tell_what_no_single_repeat_can(double delay, int number, Condition condition, Verdict verdict, Timing timing)
    {
        const double width = 1.3;
        var repeats = new ChannelRepeats(_exercise.Channel, ExerciseMode.LogicOnly, Duration.FromNanoseconds(1300));
        var on = _exercise.OnAt.ToSeconds() * 1e6;
        for (var repeat = 0; repeat < number; repeat++)
        {
            var signals = Some.Signals(_exercise, Some.GoodDelays);
            var phase = 0.25 * ((2 * (repeat + 0.5) / number) - 1);
            var buffer = signals[1];
            signals[1] = buffer with { Changes = [Some.Change(on - (width / 2) + delay + phase + 0.025, buffer.Changes[0].Level, look: 0.05), buffer.Changes[1]] };
            var result = Some.Judge(_exercise, signals);
            Assert.Equal(Condition.Working, result.Condition);
            Assert.Equal(Timing.NotResolved, Buffer(result).Timing);
            repeats.Add(result);
        }
        var together = repeats.Result!;
        Assert.Equal((condition, verdict, timing), (together.Condition, Buffer(together).Verdict, Buffer(together).Timing));
        Assert.InRange(Buffer(together).Delay!.Value.ToSeconds() * 1e6, delay - 0.001, delay + 0.001);
        Assert.Equal(condition == Condition.Slow ? PointState.Late : PointState.Good, together.Path[1].State);

        static Finding Buffer(ChannelResult result) => result.Findings.First(finding => finding is { TestPoint: "U3.18", Cause: "J1.2" });
    }

    [Fact]
    public void A_quiet_signal_more_changes_nothing()
    {
        foreach (var result in new[] { Good(), Dead() })
        {
            var quiet = Some.Judge(Some.Board(), _exercise, result.Capture! with { Signals = [.. result.Capture!.Signals, new("U3.16", Level.High, [])] });
            Assert.Equal(result.Condition, quiet.Condition);
            Assert.Equal(result.Findings.Select(Text), quiet.Findings.Select(Text));
        }
    }

    private static string Text(Finding finding) => $"{finding.TestPoint} {finding.Expected} {finding.Verdict} {finding.Timing} {finding.Delay} {finding.Measured} {finding.Words}";

    private static (double On, double Off)?[] At(double isolator) => [(0.1, 0.1), (0.2, 0.2), (isolator, 105.2), (isolator + 5, 120.2)];

    private static double Latest(string point, Expectation expected) =>
        Good().Findings.First(finding => finding.TestPoint == point && finding.Expected == expected).Latest!.Value.ToSeconds() * 1e6;

    private static ChannelResult Together(params ChannelResult[] results)
    {
        var repeats = new ChannelRepeats(_exercise.Channel, ExerciseMode.LogicOnly, Duration.FromNanoseconds(1200));
        foreach (var result in results)
            repeats.Add(result);
        return repeats.Result!;
    }

    private static ChannelResult Good() => Judge(Some.GoodDelays);

    private static ChannelResult Dead() => Judge((0.1, 0.1), (0.2, 0.2), null, null);

    private static ChannelResult Untested() => ChannelResult.NotExercised(_exercise.Channel, "The exercise was ended early.");

    private static ChannelResult Judge(params (double On, double Off)?[] delays) => Some.Judge(_exercise, Some.Signals(_exercise, delays));
}
