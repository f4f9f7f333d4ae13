using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Adapters;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>What the check of the leads does to the machine, by what really happens on the simulated bench.</summary>
public class LeadCheckHazardTests
{
    private const string FirstCathode = "U4.18", FirstCollector = "OK1.5";

    /// <summary>
    /// By hand: 50 µs at low through 1 kohm take from the cathode what U4 does not take while it is high. Its LS-TTL output, some 3.4 V, leaves the LED (1.15 V) and its 220 ohm 0.45 V,
    /// that is 2 mA; a 4N25 of 70 % carries 1.4 mA, more than the 10 kohm at 12 V ask for (1.2 mA). So it conducts, and the driver behind it.
    /// </summary>
    [Fact]
    public async Task Discharged_through_its_lead_a_cathode_commands_the_isolator_for_a_moment()
    {
        var board = SimulatedRun.Dome;
        await using var adapter = new SimulatedAdapter(board, FaultPlan.None, 1, motorSupplyOn: false);
        string PinOf(string point) => board.TestPoints.Single(known => known.Name == point).AdapterPin!;
        await adapter.ArmAsync(BoardLimits.Of(board, Duration.FromMilliseconds(100)), CancellationToken.None);
        var changes = new List<(string Pin, Level To)>();
        adapter.True.Changed = (pin, level) => changes.Add((pin, level));
        var reading = Assert.Single(await adapter.CheckLeadsAsync([PinOf(FirstCathode)], CancellationToken.None));
        Assert.False(reading.Follows);
        _ = await adapter.ReadInputsAsync(CancellationToken.None);
        Assert.Equal([Level.Low, Level.High], changes.Where(change => change.Pin == PinOf(FirstCollector)).Select(change => change.To));
        Assert.Equal([Level.High, Level.Low], changes.Where(change => change.Pin == PinOf("Q1.C")).Select(change => change.To));
    }

    /// <summary>An open lead follows its pin, and nothing on the board notices.</summary>
    [Fact]
    public async Task Discharged_an_open_lead_moves_nothing()
    {
        var board = SimulatedRun.Dome;
        await using var adapter = FaultyBench.Of(board, 1, [$"lead:{FirstCathode}=open"]);
        var pin = board.TestPoints.Single(known => known.Name == FirstCathode).AdapterPin!;
        await adapter.ArmAsync(BoardLimits.Of(board, Duration.FromMilliseconds(100)), CancellationToken.None);
        var changed = new List<string>();
        adapter.True.Changed = (other, _) => changed.Add(other);
        Assert.True(Assert.Single(await adapter.CheckLeadsAsync([pin], CancellationToken.None)).Follows);
        Assert.All(changed, other => Assert.Equal(pin, other));
    }

    [Theory]
    [InlineData(ExerciseMode.LogicOnly, "23 driven; 15 behind dividers cannot be told", true)]
    [InlineData(ExerciseMode.Motion, "17 driven; 15 behind dividers cannot be told; 6 on nets that command motion are left to a logic-only sweep", false)]
    public async Task Before_a_sweep_with_motion_no_driver_is_commanded_by_the_check(ExerciseMode mode, string words, bool commanded)
    {
        var board = SimulatedRun.Dome;
        await using var adapter = new UntilFirstRun(new SimulatedAdapter(board, FaultPlan.None, 1, motorSupplyOn: mode == ExerciseMode.Motion));
        var sweep = new Sweep(board, adapter, new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None);
        var result = await sweep.RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(words, result.Checks.Single(check => check.Name == "leads").Words);
        string[] drivers = [.. board.TestPoints.Where(point => point.Name is ['Q', _, '.', 'C']).Select(point => point.AdapterPin!)];
        Assert.Equal(6, drivers.Length);
        Assert.Equal(commanded, adapter.Changed.Overlaps(drivers));
        Assert.False(result.AnyFaulty);
    }

    /// <summary>Keeps which pins changed before anything was exercised.</summary>
    private sealed class UntilFirstRun(SimulatedAdapter inner) : AdapterInFront(inner)
    {
        private bool _armed;

        public HashSet<string> Changed { get; } = [];

        public override async Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
        {
            await base.ArmAsync(limits, cancellation);
            if (!_armed)
                inner.True.Changed = (pin, _) => Changed.Add(pin);
            _armed = true;
        }

        public override Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
        {
            inner.True.Changed = null;
            return base.RunAsync(program, cancellation);
        }
    }
}
