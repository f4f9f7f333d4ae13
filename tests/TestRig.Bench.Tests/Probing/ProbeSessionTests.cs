using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Probing;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Probing;

/// <summary>One lead that goes where the program says, on boards in which one thing is broken: it is told of by the simulated board alone.</summary>
public class ProbeSessionTests
{
    /// <summary>Sections of every kind of part in the demonstrations, and what is no part: the item that a technician would have to go to.</summary>
    [Theory]
    [InlineData("dome-drive", "shutter-open", "OK3=dead", "OK3")]
    [InlineData("dome-drive", "flap-raise", "U3:9=stuck-high", "U3")]
    [InlineData("dome-drive", "rotate-left", "Q1=stuck-low", "Q1")]
    [InlineData("dome-drive", "flap-lower", "U4:7=weak", "U4")]
    [InlineData("tide-gauge", "select-well-1", "K1=dead", "K1")]
    [InlineData("tide-gauge", "lamp-fault", "U1:12=stuck-low", "U1")]
    [InlineData("tide-gauge", "select-recorder", "Q7=dead", "Q7")]
    [InlineData("carillon", "strike-g", "U1:14=stuck-high", "U1")]
    [InlineData("carillon", "strike-c", "OK1=slow:5x", "OK1")]
    public async Task What_is_broken_is_among_what_is_left(string board, string channel, string fault, string item)
    {
        var result = await ProbeAsync(board, channel, [fault]);
        Assert.Equal(ProbeOutcome.FaultFound, result.Outcome);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.Contains(item, result.Faults[0].Suspects[0].Group);
        Assert.Contains(result.Suspects, suspect => suspect.Item == item);
        Assert.NotEmpty(result.Faults[0].Advice);
    }

    [Theory]
    [InlineData("dome-drive", "rotate-left", "J1.2", "Q1.C")]
    [InlineData("tide-gauge", "lamp-clock", "P1.3", "Q3.C")]
    [InlineData("carillon", "strike-e", "J2.2", "Q2.C")]
    public async Task Of_a_good_channel_nothing_is_said_to_be_wrong_and_its_end_was_touched(string board, string channel, string driven, string end)
    {
        var result = await ProbeAsync(board, channel, []);
        Assert.Equal(ProbeOutcome.NothingWrong, result.Outcome);
        Assert.Empty(result.Faults);
        Assert.Contains(end, result.Touched);
        Assert.StartsWith($"SIMULATED, no board was tested: {channel}: nothing wrong at {driven}, ", ProbeWords.Verdict(result), StringComparison.Ordinal);
    }

    /// <summary>OK3's output cannot be reached; behind it Q3 shows what OK3 does, and in front of it U4 works: one of the two is left.</summary>
    [Fact]
    public async Task A_point_that_cannot_be_reached_is_done_without()
    {
        var result = await ProbeAsync("dome-drive", "shutter-open", ["OK3=dead"], question => question.Point.Name == "OK3.5" ? ProbeAnswer.Skipped : ProbeAnswer.Touched);
        Assert.DoesNotContain("OK3.5", result.Touched);
        Assert.Contains("U4.14", result.Touched);
        Assert.Equal(ProbeOutcome.FaultFound, result.Outcome);
        Assert.Superset(new HashSet<string> { "OK3", "Q3" }, result.Suspects.Select(suspect => suspect.Item!).ToHashSet());
    }

    [Fact]
    public async Task Ended_before_anything_was_touched_it_is_undecided_and_says_what_the_drive_point_did()
    {
        var result = await ProbeAsync("dome-drive", "shutter-open", ["OK3=dead"], _ => ProbeAnswer.Quit);
        Assert.Equal(ProbeOutcome.Undecided, result.Outcome);
        var only = Assert.Single(result.Steps);
        Assert.Equal("J1.6", only.Point);
        Assert.NotNull(only.Trace);
        Assert.Contains("not all was touched", ProbeWords.Verdict(result), StringComparison.Ordinal);
    }

    /// <summary>What the profile's points need in their leads, the roving lead needs there: 13.2 V is the isolated supply, 12 V ± 10 %.</summary>
    [Fact]
    public void A_point_that_goes_higher_than_the_pin_takes_is_refused_without_a_divider()
    {
        var board = DemoBoards.Load("dome-drive");
        var channel = board.Channels.Single(candidate => candidate.Name == "shutter-open");
        var bare = channel with { Stages = [.. channel.Stages.Select(stage => stage with { Output = stage.Output! with { Divider = null } })] };
        var refused = ProbePoint.Of(board, bare, "A15", PinVoltage.FiveVoltMaximum, null).Where(point => point.Refused is not null).ToList();
        Assert.Equal(["OK3.5", "Q3.C"], refused.Select(point => point.Name));
        Assert.All(refused, point => Assert.Contains("13.2 V", point.Refused, StringComparison.Ordinal));
        Assert.All(refused, point => Assert.Contains("--divider", point.Refused, StringComparison.Ordinal));
        // 47 / 147 of 13.2 V, resistors 1 % off: 4.28 V, which a pin at 4.75 V takes.
        Assert.DoesNotContain(ProbePoint.Of(board, bare, "A15", PinVoltage.FiveVoltMaximum, new(new(100_000), new(47_000))), point => point.Refused is not null);
        // 100 kohm / 100 kohm makes 6.6 V of it.
        Assert.Equal(2, ProbePoint.Of(board, bare, "A15", PinVoltage.FiveVoltMaximum, new(new(100_000), new(100_000))).Count(point => point.Refused is not null));
    }

    /// <summary>A logic output of 5 V behind a divider for 13.2 V would read 1.6 V: no level at all.</summary>
    [Fact]
    public void The_divider_is_for_points_that_need_it_and_no_others()
    {
        var board = DemoBoards.Load("dome-drive");
        var channel = board.Channels.Single(candidate => candidate.Name == "shutter-open");
        var points = ProbePoint.Of(board, channel, "A15", PinVoltage.FiveVoltMaximum, new(new(100_000), new(33_000)));
        Assert.Equal([null, null, 33_000.0, 33_000.0], points.Select(point => point.Point.Divider?.Lower.Value));
    }

    [Fact]
    public void An_isolated_ground_that_must_not_be_bridged_is_not_touched()
    {
        var board = DemoBoards.Load("dome-drive");
        var strict = board with { Grounds = [.. board.Grounds.Select(ground => ground with { BridgedBecause = null })] };
        Assert.Equal(
            ["OK1.5", "Q1.C"],
            ProbePoint.Of(strict, strict.Channels[0], "A15", PinVoltage.FiveVoltMaximum, null).Where(point => point.Refused?.Contains("isolation", StringComparison.Ordinal) == true).Select(point => point.Name));
    }

    [Fact]
    public async Task A_pin_where_a_lead_stays_is_refused_and_free_ones_are_named()
    {
        var mismatch = await Assert.ThrowsAsync<ProfileMismatchException>(() => ProbeAsync("dome-drive", "shutter-open", [], lead: "A12"));
        Assert.Contains("--lead A12", mismatch.Message, StringComparison.Ordinal);
        Assert.Contains("Pins that are free: A15", mismatch.Message, StringComparison.Ordinal);
    }

    /// <summary>J1.4 does not idle high by itself: that is told before anything is driven, and nothing need be touched to say what it may be.</summary>
    [Fact]
    public async Task A_line_that_does_not_idle_ends_it_and_its_lead_is_a_suspect()
    {
        var result = await ProbeAsync("dome-drive", "rotate-right", ["line:rotate-right=open"]);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Equal(ProbeOutcome.FaultFound, result.Outcome);
        Assert.Contains("lead to J1.4", result.Faults[0].Suspects[0].Group);
        Assert.Empty(result.Touched);
    }

    /// <summary>A pressed emergency stop ends it before anything is driven, as it ends a sweep.</summary>
    [Fact]
    public async Task A_stop_input_ends_it_before_anything_is_driven()
    {
        var result = await ProbeAsync("dome-drive", "shutter-open", ["emergency-stop=active"]);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Null(Assert.Single(result.Steps).Trace);
        Assert.Empty(result.Touched);
    }

    private static async Task<ProbeResult> ProbeAsync(string name, string channel, string[] faults, Func<ProbeQuestion, ProbeAnswer>? answer = null, string? lead = null)
    {
        var board = DemoBoards.Load(name);
        var session = new ProbeSession(
            board, board.Channels.Single(candidate => candidate.Name == channel), new(lead, null), leads => FaultyBench.Of(leads, seed: 4, faults), new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System);
        return await session.RunAsync(new Hand(answer ?? (_ => ProbeAnswer.Touched)), CancellationToken.None);
    }

    private sealed class Hand(Func<ProbeQuestion, ProbeAnswer> answer) : IProbeOperator
    {
        public void Begin(Board board, AdapterIdentity adapter, string pin, IEnumerable<ProbePoint> refused)
        {
        }

        public void Tell(CheckDone check)
        {
        }

        public void Tell(ProbeStep done)
        {
        }

        public Task<ProbeAnswer> AskAsync(ProbeQuestion question, CancellationToken cancellation) => Task.FromResult(answer(question));
    }
}
