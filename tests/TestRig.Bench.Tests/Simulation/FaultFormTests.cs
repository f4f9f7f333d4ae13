using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Faults of inputs, enables, leads, lines, supplies and motors, on every board that can have them. What each does is worked out from the circuit.</summary>
public class FaultFormTests
{
    /// <summary>Channels that cannot work with this fault; all the others do.</summary>
    [Theory]
    [InlineData("tide-gauge", "U1:1=disabled", "lamp-rising", "lamp-falling", "lamp-clock", "lamp-fault")] // SN74LS244: 1G serves the outputs 18, 16, 14, 12
    [InlineData("tide-gauge", "Q1:B=holds-low", "lamp-rising")]
    [InlineData("tide-gauge", "Q1:B=holds-high", "lamp-rising")]
    [InlineData("tide-gauge", "K1:A2=holds-low", "select-well-1")]
    [InlineData("tide-gauge", "K1:A2=holds-high", "select-well-1")]
    [InlineData("tide-gauge", "line:lamp-clock=open", "lamp-clock")]
    [InlineData("tide-gauge", "line:lamp-clock=dead", "lamp-clock")]
    [InlineData("planetarium", "U5=disabled", "meteor")]
    [InlineData("planetarium", "U7:1=disabled", "moon")]
    [InlineData("planetarium", "U3:1=holds-low", "stars")]
    [InlineData("planetarium", "OK1:2=holds-high", "zodiac")]
    [InlineData("planetarium", "supply:coils=off", "stars", "meteor", "moon")] // read nowhere: its outputs tell
    [InlineData("carillon", "U1:6=holds-high", "strike-g")]
    [InlineData("carillon", "line:strike-e=dead", "strike-e")]
    public async Task Only_the_channels_that_a_fault_concerns_do_not_work(string name, string fault, params string[] concerned)
    {
        var board = Load(name);
        var result = await DemoBoards.SweepAsync(board, 2, Options(ExerciseMode.LogicOnly), fault);
        Assert.Equal(concerned.Order(), NotWorking(result).Order());
    }

    /// <summary>In motion alone, and seen where the motion is seen.</summary>
    [Theory]
    [InlineData("dome-drive", "motor:rotate-left=dead", "rotate-left")]
    [InlineData("dome-drive", "dome-encoder=dead", "rotate-left", "rotate-right")]
    [InlineData("carillon", "motor:strike-c=dead", "strike-c")]
    public async Task A_motion_that_does_not_happen_is_missed_in_motion_and_only_there(string name, string fault, params string[] concerned)
    {
        var board = Load(name);
        Assert.Empty(NotWorking(await DemoBoards.SweepAsync(board, 2, Options(ExerciseMode.LogicOnly), fault)));
        Assert.Equal(concerned.Order(), NotWorking(await DemoBoards.SweepAsync(board, 2, Options(ExerciseMode.Motion), fault)).Order());
    }

    [Theory]
    [InlineData("motor:rotate-left=dead", "home-switch", "dome-encoder")]
    [InlineData("dome-encoder=dead", "dome-encoder")]
    public async Task A_motor_and_its_pick_up_fail_apart(string fault, params string[] still)
    {
        var good = await SimulatedRun.CaptureAsync(3, "rotate-left", ExerciseMode.Motion);
        var bad = await SimulatedRun.CaptureAsync(3, "rotate-left", ExerciseMode.Motion, fault);
        Assert.All(still, point => Assert.True(SimulatedRun.Levels(good, point).Length > 1 && SimulatedRun.Levels(bad, point).Length == 1));
        // The driver's output is the same: the contactor pulls in.
        Assert.Equal([.. SimulatedRun.Levels(good, "Q1.C")], SimulatedRun.Levels(bad, "Q1.C").ToArray());
        if (!still.Contains("home-switch"))
            Assert.Equal([.. SimulatedRun.Levels(good, "home-switch")], SimulatedRun.Levels(bad, "home-switch").ToArray());
    }

    [Theory]
    [InlineData("limit-left=active", "D49", false)]
    [InlineData("emergency-stop=active", "D43", true)]
    public async Task A_stop_input_stuck_in_its_stopping_state_forbids_its_lines(string fault, string pin, bool all)
    {
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults(fault), 1, motorSupplyOn: false);
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        foreach (var channel in SimulatedRun.Dome.Channels)
        {
            var forbidden = all || channel.Name == "rotate-left";
            var refused = await Record.ExceptionAsync(() => adapter.RunAsync(SimulatedRun.Program(channel.Name), CancellationToken.None));
            Assert.Equal(forbidden, refused is AdapterException { Fault: AdapterFault.StopActive });
            if (forbidden)
                Assert.Contains(pin, refused!.Message, StringComparison.Ordinal);
        }
    }

    /// <summary>The lead keeps its own divider wherever it is clipped: 5 V behind 100 kohm / 47 kohm gives 5 · 47 / 147 = 1.6 V at the pin.</summary>
    [Fact]
    public async Task A_lead_that_is_clipped_elsewhere_shows_that_net_through_its_own_divider()
    {
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults("lead:OK1.5=at-LOGIC"), Variation.Nominal, motorSupplyOn: false);
        var reading = Assert.Single(await adapter.ReadLevelsAsync(["A6"], 4, CancellationToken.None));
        Assert.InRange(reading.Mean.Value, 1.58, 1.62);
    }

    /// <summary>Swapped leads of two supplies show each other's: 12 V behind 10 kohm / 10 kohm is above the converter's 5 V, and 5 V behind 100 kohm / 47 kohm is 1.6 V.</summary>
    [Fact]
    public async Task Two_leads_that_are_swapped_show_each_other_s_net()
    {
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults("lead:LOGIC+ISOLATED=swapped"), Variation.Nominal, motorSupplyOn: false);
        var readings = await adapter.ReadLevelsAsync(["A12", "A13"], 4, CancellationToken.None);
        Assert.InRange(readings[0].Mean.Value, 4.99, 5.01);
        Assert.InRange(readings[1].Mean.Value, 1.58, 1.62);
    }

    /// <summary>A dead output stays idle, and so does what the adapter reads back at itself; an open lead changes only what the board sees.</summary>
    [Theory]
    [InlineData("line:rotate-left=dead", 1)]
    [InlineData("line:rotate-left=open", 3)]
    public async Task A_dead_line_reads_back_idle_and_an_open_one_reads_back_what_was_commanded(string fault, int levels)
    {
        var capture = await SimulatedRun.CaptureAsync(3, "rotate-left", faults: fault);
        Assert.Equal(levels, SimulatedRun.Levels(capture, "J1.2").Length);
        Assert.Equal(Level.High, SimulatedRun.Levels(capture, "J1.2")[0]);
        Assert.Single(SimulatedRun.Levels(capture, "U3.18"));
    }

    [Theory]
    [InlineData("logic", "A12")]
    [InlineData("isolated", "A13")]
    public async Task A_supply_that_is_off_reads_nothing_and_nothing_behind_it_gives_any_voltage(string supply, string pin)
    {
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults($"supply:{supply}=off"), 1, motorSupplyOn: false);
        // In any case: the collectors of the isolators, which the isolated supply pulls up, and the drivers' outputs.
        var readings = await adapter.ReadLevelsAsync([pin, .. supply == "isolated" ? ["A6", "A7", "A8", "A9", "A10", "A11"] : (string[])["A0", "A1", "A2", "A3", "A4", "A5"]], 4, CancellationToken.None);
        Assert.All(readings, reading => Assert.InRange(reading.Mean.Value, 0, 0.05));
    }

    [Fact]
    public void A_fault_that_is_given_twice_is_told()
    {
        foreach (var twice in (string[])["lead:U3.18=open", "line:rotate-left=dead", "U4:6=holds-low", "U3=disabled", "limit-left=active"])
        {
            var (_, errors) = FaultPlan.Of(SimulatedRun.Dome, [twice, twice]);
            Assert.Contains("has a fault already", Assert.Single(errors), StringComparison.Ordinal);
        }
    }

    private static IEnumerable<string> NotWorking(SweepResult result) => SimulatedRun.Conditions(result).Where(entry => entry.Value != "working").Select(entry => entry.Key);

    private static SweepOptions Options(ExerciseMode mode) => new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: true);

    private static Board Load(string name) => name == "planetarium"
        ? ProfileLoader.Load(Path.Combine(Repository.Root, "tests", "TestRig.Bench.Tests", "Simulation", "planetarium.yaml"), Repository.PartsFolder).Board!
        : DemoBoards.Load(name);
}
