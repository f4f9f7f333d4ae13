using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Judging;

public class TransitionJudgeTests
{
    private static readonly Duration _latest = Duration.FromMicroseconds(10);

    // A guard band on both sides (JCGM 106:2012 8.3; clause from memory), here of 2 µs.
    [Theory]
    [InlineData(5.0, Timing.Conforms)]
    [InlineData(7.9, Timing.Conforms)]
    [InlineData(8.1, Timing.NotResolved)]
    [InlineData(11.9, Timing.NotResolved)]
    [InlineData(12.1, Timing.Violates)]
    [InlineData(0.5, Timing.NotResolved)]
    public void A_delay_is_judged_only_when_its_whole_interval_is_on_one_side(double microseconds, Timing expected)
    {
        var delay = new MeasuredDelay(Duration.FromSeconds(microseconds * 1e-6), Duration.FromMicroseconds(1), Duration.FromSeconds(1.8e-6), Duration.FromMicroseconds(2));
        Assert.Equal(expected, TransitionJudge.Within(delay, Duration.FromMicroseconds(1), _latest));
    }

    [Fact]
    public void A_delay_finer_than_the_adapter_is_not_resolved_and_never_conforms()
    {
        var delay = new MeasuredDelay(Duration.FromNanoseconds(12), Duration.FromNanoseconds(510), Duration.FromNanoseconds(970), Duration.FromNanoseconds(1250));
        Assert.Equal(Timing.NotResolved, TransitionJudge.Within(delay, Duration.Zero, Duration.FromNanoseconds(18)));
    }

    [Theory]
    [InlineData(4, 3_000, 4, 5_000, Verdict.Conforms)]
    [InlineData(4, 5_000, 4, 5_000, Verdict.Conforms)] // up to the limits, and no further
    [InlineData(6, 3_000, 4, 5_000, Verdict.Bouncing)]
    [InlineData(4, 5_001, 4, 5_000, Verdict.Bouncing)]
    [InlineData(2, 100, 0, 0, Verdict.Bouncing)]
    public void A_contact_may_bounce_so_often_and_for_so_long(int bounces, double settles, int most, double within, Verdict expected)
    {
        var changes = Enumerable.Range(0, bounces + 1).Select(i => Some.Change(1_000 + (settles * i / bounces), i % 2 == 0 ? Level.Low : Level.High));
        var permitted = most == 0 ? null : new TestRig.Core.Boards.ContactBounce(most, Duration.FromSeconds(within * 1e-6));
        Assert.Equal(expected, TransitionJudge.Logic(new(Level.High, [.. changes]), Level.Low, [], Some.At(0), Some.At(15_000), Some.At(100_000), permitted));
    }

    [Theory]
    [InlineData(GapReason.MeasuringLevels, 5, 20, Verdict.NotResolved)] // nobody looked while it was due
    [InlineData(GapReason.MeasuringLevels, 500, 600, Verdict.Absent)] // looked while due; the gap came later
    [InlineData(GapReason.NoRoomForChanges, 500, 1000, Verdict.NotResolved)] // stopped looking before the end
    [InlineData(GapReason.HostLate, 5, 20, Verdict.NotResolved)] // the host was late while it was due
    [InlineData(GapReason.HostLate, 500, 600, Verdict.NotResolved)] // or at any time before the end: it may have come and gone
    public void A_missing_transition_in_a_gap_is_not_resolved(GapReason reason, double from, double to, Verdict expected)
    {
        var arrival = new Arrival(Level.High, []);
        var verdict = TransitionJudge.Logic(
            arrival, Level.Low, [new(Some.At(from), Some.At(to), reason)], Some.At(0), Some.At(10), Some.At(1000));
        Assert.Equal(expected, verdict);
    }

    [Fact]
    public void Right_wrong_bounced_and_withdrawn_transitions_are_told_apart()
    {
        Assert.Equal(Verdict.Conforms, Logic(Level.Low));
        Assert.Equal(Verdict.Bouncing, Logic(Level.Low, Level.High, Level.Low));
        Assert.Equal(Verdict.Extra, Logic(Level.Low, Level.High));
        Assert.Equal(Verdict.WrongWay, TransitionJudge.Logic(
            new(Level.Low, [Some.Change(5, Level.High)]), Level.Low, [], Some.At(0), Some.At(10), Some.At(1000)));

        static Verdict Logic(params Level[] levels) => TransitionJudge.Logic(
            new(levels[0].Inverted(), [.. levels.Select((level, index) => Some.Change(5 + (10 * index), level))]),
            Level.Low, [], Some.At(0), Some.At(10), Some.At(1000));
    }
}
