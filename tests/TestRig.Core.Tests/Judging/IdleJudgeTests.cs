using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

public class IdleJudgeTests
{
    private static readonly Duration _length = Duration.FromMilliseconds(500);

    private static ChannelResult Judge(params Capture[] windows) => IdleJudge.Judge(Some.Board().Channels[0], ExerciseMode.LogicOnly, [.. windows]);

    private static Capture Window(params Signal[] signals) => new(
        Duration.FromNanoseconds(63), Duration.FromNanoseconds(1300), 0.005, Instant.Start + _length, [.. signals], [], [], new(CaptureOutcome.Complete, null));

    private static Signal Quiet(string name) => new(name, Level.High, []);

    [Fact]
    public void A_channel_at_whose_points_nothing_changes_works()
    {
        var result = Judge(Window(Quiet("J1.2"), Quiet("OK1.5")), Window(Quiet("J1.2"), Quiet("OK1.5")));
        Assert.Equal(Condition.Working, result.Condition);
        Assert.Equal(["J1.2", "OK1.5"], result.Findings.Select(finding => finding.TestPoint));
        Assert.All(result.Findings, finding => Assert.Equal(Verdict.Conforms, finding.Verdict));
    }

    [Fact]
    public void What_changes_though_nobody_commands_it_is_wrong_and_shown_where_it_does()
    {
        var restless = Window(Quiet("J1.2"), new("OK1.5", Level.High, [Some.Change(1_000, Level.Low), Some.Change(1_200, Level.High)]));
        var result = Judge(Window(Quiet("J1.2"), Quiet("OK1.5")), restless);
        Assert.Equal(Condition.Bouncing, result.Condition);
        Assert.Equal("OK1.5", result.FirstFailure!.TestPoint);
        Assert.Same(restless, result.Capture);
        Assert.Same(restless, Assert.Single(result.Record!.Captures));
        Assert.Contains("changed 2 times though nothing was commanded", result.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void What_changes_at_another_channels_points_is_not_its_fault() =>
        Assert.Equal(Condition.Working, Judge(Window(Quiet("J1.2"), new("OK2.5", Level.High, [Some.Change(1_000, Level.Low)]))).Condition);

    [Fact]
    public void Where_nobody_looked_all_the_time_nothing_is_good()
    {
        var blind = Window(Quiet("J1.2")) with { Gaps = [new(Instant.Start, Instant.Start + _length, GapReason.NoRoomForChanges)] };
        Assert.Equal(Condition.NotTested, Judge(blind).Condition);
        Assert.Equal(Condition.NotTested, Judge(Window(Quiet("J1.2")) with { Ending = new(CaptureOutcome.StopInput, "limit-left") }).Condition);
        Assert.Equal(Condition.NotTested, Judge(Window(Quiet("OK2.5"))).Condition);
    }
}
