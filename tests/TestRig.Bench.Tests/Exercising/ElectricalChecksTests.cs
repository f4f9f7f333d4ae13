using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>What would damage the board or the adapter stops a run before anything is driven.</summary>
public class ElectricalChecksTests
{
    private static Board Dome => SimulatedRun.Dome;

    private static RetoldAdapter Adapter(Board board, AdapterIdentity? identity = null) => new(new SimulatedAdapter(board, FaultPlan.None, 1, motorSupplyOn: false)) { As = identity };

    private static Task<SweepResult> SweepAsync(Board board, IAdapter adapter) =>
        new Sweep(board, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);

    private static Board WithController(Level disabled) => Dome with
    {
        Controller = new("unplug J1", Dome.TestPoints.Single(point => point.Name == "home-switch"), disabled),
    };

    /// <summary>Half of nominal at LOGIC, behind 10 kohm / 10 kohm at A12: neither off nor on.</summary>
    [Fact]
    public async Task A_supply_that_is_half_there_is_said_to_be_half_dead_or_fed_backwards()
    {
        var adapter = Adapter(Dome);
        adapter.Volts["A12"] = 1.25;
        var result = await SweepAsync(Dome, adapter);
        Assert.Equal(SweepOutcome.NotReady, result.Ending.Outcome);
        Assert.Contains("reads 2.5 V at LOGIC; it should be 4.75 V to 5.25 V. Nothing was driven. That is neither off nor on", result.Ending.Words, StringComparison.Ordinal);
        Assert.Contains("fed backwards", result.Ending.Words, StringComparison.Ordinal);
        Assert.False(adapter.Armed);
    }

    [Fact]
    public async Task With_the_supply_of_the_receiving_part_off_lines_that_idle_high_are_not_driven_because_they_would_feed_it()
    {
        var adapter = Adapter(Dome);
        adapter.Volts["A12"] = 0;
        var result = await SweepAsync(Dome, adapter);
        Assert.Equal(SweepOutcome.NotReady, result.Ending.Outcome);
        Assert.Contains("would hold lines 'rotate-left', 'rotate-right', 'shutter-open', 'shutter-close', 'flap-raise', 'flap-lower' high and feed the board", result.Ending.Words, StringComparison.Ordinal);
        Assert.False(adapter.Armed);
    }

    [Fact]
    public void Where_nothing_senses_that_supply_the_operator_is_told_to_see_to_it()
    {
        var logic = Dome.Supplies.Single(supply => supply.Name == "logic");
        var unsensed = logic with { SensedAt = null };
        var board = Dome with
        {
            Channels = [.. Dome.Channels.Select(channel => channel with { Stages = channel.Stages.SetItem(0, channel.Stages[0] with { Part = (BufferPart)channel.Stages[0].Part with { Supply = unsensed } }) })],
        };
        Assert.Contains(Cautions.For(board, ExerciseMode.LogicOnly), caution => caution.Contains("Nothing senses supply 'logic'. See that it is on", StringComparison.Ordinal) && caution.Contains("U3", StringComparison.Ordinal));
        Assert.DoesNotContain(Cautions.For(Dome, ExerciseMode.LogicOnly), caution => caution.Contains("Nothing senses supply", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_controller_that_is_sensed_to_be_there_stops_the_run_before_anything_is_driven()
    {
        var board = WithController(Level.Low);
        var adapter = Adapter(board);
        adapter.Levels["D13"] = Level.High;
        var result = await SweepAsync(board, adapter);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Contains("not disabled: home-switch is high, and should be low. Nothing was driven", result.Ending.Words, StringComparison.Ordinal);
        Assert.Contains("unplug J1", result.Ending.Words, StringComparison.Ordinal);
        Assert.False(adapter.Armed);
    }

    [Fact]
    public async Task A_controller_that_is_sensed_to_be_disabled_is_no_bar()
    {
        var board = WithController(Level.High);
        var adapter = Adapter(board);
        var result = await SweepAsync(board, adapter);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.Contains(new CheckDone("controller", true, "disabled (home-switch is high)"), result.Checks);
    }

    [Fact]
    public async Task An_open_lead_does_not_tell_that_the_controller_is_disabled()
    {
        var board = WithController(Level.High);
        var adapter = Adapter(board);
        adapter.Open.Add("D13");
        var result = await SweepAsync(board, adapter);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.Contains("does not tell that the board's own controller is disabled", result.Ending.Words, StringComparison.Ordinal);
        Assert.False(adapter.Ran);
        Assert.True(adapter.Released);
    }

    [Fact]
    public async Task A_controller_that_nothing_senses_is_left_to_the_operator_in_words()
    {
        var result = await SweepAsync(Dome, Adapter(Dome));
        Assert.Contains(result.Checks, check => check is { Name: "controller", Good: true, Made: false } && check.Words.StartsWith("nothing senses it; the operator answers for it", StringComparison.Ordinal));
        Assert.Contains(Cautions.For(Dome, ExerciseMode.LogicOnly), caution => caution.Contains("an idle controller cannot be told from an unplugged one", StringComparison.Ordinal));
    }

    /// <summary>A 3.3 V part takes its supply and 0.3 V (value from memory).</summary>
    [Fact]
    public async Task An_adapter_that_takes_less_refuses_the_points_and_lines_that_go_higher()
    {
        var inner = Adapter(Dome);
        var adapter = Adapter(Dome, inner.Identity with { Board = "3.3 V adapter", PinMaximum = new(3.6) });
        var refused = await Assert.ThrowsAsync<ProfileMismatchException>(() => SweepAsync(Dome, adapter));
        Assert.Contains(refused.Problems, problem => problem.StartsWith("Test point U3.18 can put 5.25 V on A0, and a pin of 3.3 V adapter takes 3.6 V at most: put a divider in its lead (test-points.U3.18 in the profile, 'divider: 100 kohm / ", StringComparison.Ordinal));
        Assert.Contains(refused.Problems, problem => problem.StartsWith("Line 'rotate-left' can put 5.25 V on D22", StringComparison.Ordinal) && problem.Contains("pull the line up to a supply that this adapter takes", StringComparison.Ordinal));
        Assert.Contains(refused.Problems, problem => problem.StartsWith("Test point OK1.5 can put 4.28 V on A6", StringComparison.Ordinal));
        // 2.65 V at LOGIC is within its range.
        Assert.DoesNotContain(refused.Problems, problem => problem.Contains("LOGIC", StringComparison.Ordinal));
        Assert.False(adapter.Armed);
    }

    [Theory]
    [InlineData(13.2, 5, 56_000)]
    [InlineData(26.4, 5, 22_000)]
    [InlineData(5.25, 3.6, 180_000)]
    [InlineData(400, 5, 1_200)]
    public void A_divider_is_proposed_that_holds_in_the_worst_case_and_is_the_largest_that_does(double highest, double atMost, double lower)
    {
        var divider = Divider.For(new(highest), new(atMost))!;
        Assert.Equal(lower, divider.Lower.Value, 6);
        Assert.InRange(highest * divider.HighestRatio, 0, atMost);
    }

    [Fact]
    public void No_divider_is_proposed_where_the_smallest_is_too_large() => Assert.Null(Divider.For(new(1000), new(5)));
}
