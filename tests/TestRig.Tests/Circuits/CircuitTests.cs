using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Trials;

namespace TestRig.Tests.Circuits;

/// <summary>
/// What the board's formulas say of a circuit, beside what an independent circuit simulator makes of the same circuit. All values come from part files and profiles. Each
/// tolerance stands with its reason.
/// </summary>
public class CircuitTests
{
    /// <summary>The deck's LED is a diode, whose voltage grows a little with its current; the formula takes the sheet's voltage at its test current.</summary>
    private const double LedTolerance = 0.02;

    /// <summary>
    /// Behind the LED's tolerance: the simulator's transistor saturates at another voltage than the sheet's, and its capacitance stores some charge beside the storage constant.
    /// </summary>
    private const double OffTolerance = 0.03;

    /// <summary>The overdrive follows the LED current, and the way to the threshold the saturation voltage.</summary>
    private const double OnTolerance = 0.1;

    /// <summary>The base has to come up to this before the transistor conducts. The sheet's on delay contains it, the formula's edge does not.</summary>
    private const double BaseVolts = 0.7;

    /// <summary>The sheet's test current of the LED's forward voltage (Motorola-style 4N25 sheet).</summary>
    private const double LedTestCurrent = 0.01;

    private static readonly Board _dome = Load(Path.Combine(Repository.Root, "profiles", "dome-drive.yaml"));

    private static readonly Board _planetarium = Load(Path.Combine(Repository.Root, "tests", "TestRig.Bench.Tests", "Simulation", "planetarium.yaml"));

    /// <summary>Identities (any text on circuits): t(0.8 V) 0.174353 RC, t(2.0 V) 0.510826 RC rising from 0 to 5 V, 0.916291 and 1.832581 falling; 10 to 90 % ln 9.</summary>
    [Theory]
    [InlineData(4_700, 100e-12)]
    [InlineData(1_000, 1e-9)]
    public void An_edge_of_resistor_and_capacitance_crosses_the_limits_of_TTL_when_the_formula_says(double resistance, double capacitance)
    {
        var (low, high, supply) = (LevelLimits.Ttl.LowMaximum, LevelLimits.Ttl.HighMinimum, new Volts(5));
        var run = CircuitSimulator.Run("rc-edge", ("vcc", supply.Value), ("r", resistance), ("c", capacitance), ("low", low.Value), ("high", high.Value));
        var constant = RcEdge.TimeConstant(new(resistance), new(capacitance));
        double Rise(Volts to) => RcEdge.Crossing(constant, default, supply, to)!.Value.ToSeconds();
        double Fall(Volts to) => RcEdge.Crossing(constant, supply, default, to)!.Value.ToSeconds();
        var (up, down) = (run["start"], 21 * run["start"]);
        // The simulator's steps are 0.2 % of RC.
        Within(0.005, Rise(low), run["risesthroughlow"] - up);
        Within(0.005, Rise(high), run["risesthroughhigh"] - up);
        Within(0.005, Fall(high), run["fallsthroughhigh"] - down);
        Within(0.005, Fall(low), run["fallsthroughlow"] - down);
        var tau = constant.ToSeconds();
        Within(0.005, 0.174353, (run["risesthroughlow"] - up) / tau);
        Within(0.005, 0.510826, (run["risesthroughhigh"] - up) / tau);
        Within(0.005, 0.916291, (run["fallsthroughhigh"] - down) / tau);
        Within(0.005, 1.832581, (run["fallsthroughlow"] - down) / tau);
        Within(0.005, 2.197225, run["risetime"] / tau);
    }

    /// <summary>The demonstration board's isolator with three loads: LED current, lit and dark level, and what the load adds to both of the sheet's delays.</summary>
    [Theory]
    [InlineData(2_200)]
    [InlineData(4_700)]
    [InlineData(10_000)]
    public void A_collector_output_has_the_computed_levels_and_delays(double load)
    {
        var circuit = WithSink(_dome, "OK1", part => part with { Load = new(load) });
        var run = Isolator("isolator-collector", circuit, lit: 1e-3, step: 0.1e-6);
        Within(LedTolerance, circuit.LedCurrent.Typical.Value, run["ledcurrent"]);
        var stage = circuit.ToStage();
        // The part file permits 0 to VCE(sat) maximum.
        Assert.InRange(run["lit"], 0, stage.OutputAt(Level.Low)!.Value.Maximum.Value);
        // A dark phototransistor of the deck leaks nothing: 0.1 % is the simulator's own error.
        Within(0.001, stage.OutputAt(Level.High)!.Value.Typical.Value, run["dark"]);
        On(circuit, run["falls"] - 10e-6);
        Off(circuit, run["rises"] - 1010e-6);
        Assert.True(circuit.Estimate(new(run["lit"]), new(0.01)).AtLeast);
    }

    /// <summary>The emitter output of the tests' own board.</summary>
    [Theory]
    [InlineData(4_700)]
    [InlineData(1_000)]
    public void An_emitter_output_has_the_computed_levels_and_delays(double load)
    {
        var circuit = WithSink(_planetarium, "OK1", part => part with { Load = new(load) });
        Assert.False(circuit.Part.TakenAtCollector);
        var run = Isolator("isolator-emitter", circuit, lit: 1e-3, step: 0.1e-6);
        Within(LedTolerance, circuit.LedCurrent.Typical.Value, run["ledcurrent"]);
        var stage = circuit.ToStage();
        var high = stage.OutputAt(Level.High)!.Value;
        // Saturated, 0.1 V of 12 V between the simulator's transistor and the sheet's; not saturated (1 kohm), the LED's tolerance.
        Within(LedTolerance, high.Typical.Value, run["lit"]);
        Assert.InRange(run["lit"], high.Minimum.Value, high.Maximum.Value);
        Assert.InRange(run["dark"], -0.01, 0.01);
        On(circuit, run["rises"] - 10e-6);
        Off(circuit, run["falls"] - 1010e-6);
    }

    /// <summary>An LED that gets a tenth of its current leaves the output hanging, and the level there tells the transfer ratio that the deck was given.</summary>
    [Theory]
    [InlineData("isolator-collector", true, 0.7)]
    [InlineData("isolator-collector", true, 0.3)]
    [InlineData("isolator-emitter", false, 0.7)]
    [InlineData("isolator-emitter", false, 0.3)]
    public void An_unsaturated_level_is_the_computed_one_and_tells_the_transfer_ratio(string deck, bool takenAtCollector, double ratio)
    {
        var circuit = WithSink(_dome, "OK1", part => part with
        {
            LedResistor = new(2_700),
            TakenAtCollector = takenAtCollector,
            IsolatorType = part.IsolatorType with { TransferRatioTypical = ratio },
        });
        var run = Isolator(deck, circuit, lit: 2e-3, step: 0.5e-6);
        // Where the formula says that the output never gets half-way, it does not.
        Assert.Equal(circuit.OnDelay(circuit.Available.Typical) is not null, run.Measured.ContainsKey(takenAtCollector ? "falls" : "rises"));
        var expected = circuit.ToStage().OutputAt(takenAtCollector ? Level.Low : Level.High)!.Value.Typical.Value;
        // At a tenth of its test current the LED has 0.12 V less: 3 % of what is across the resistor. The current through the load is as far off, and the transistor's own gain.
        var across = takenAtCollector ? circuit.Part.OutputSupply.Nominal.Value - expected : expected;
        Assert.Equal(expected, run["lit"], 0.06 * across);
        var estimate = circuit.Estimate(new(run["lit"]), new(0.005), circuit.Part.OutputSupply.Nominal);
        Assert.False(estimate.AtLeast);
        Assert.InRange(ratio, estimate.Ratio - (2 * estimate.StandardUncertainty), estimate.Ratio + (2 * estimate.StandardUncertainty));
        Within(0.06, ratio, estimate.Ratio);
    }

    /// <summary>
    /// What the trial makes of the voltages of the socket, beside the ratio and the leakage that the deck was given. The deck's emitter current is one base current more than its collector's: 1/500.
    /// </summary>
    [Theory]
    [InlineData(0.14)]
    [InlineData(0.7)]
    [InlineData(1.5)]
    public void The_voltages_of_the_socket_tell_the_transfer_ratio(double ratio)
    {
        var socket = Load(Repository.SocketProfile).Socket!;
        var type = socket.Part.IsolatorType;
        SimulatedCircuit Simulated(double transfer, double leak, double load) => CircuitSimulator.Run(
            "isolator-socket", ("vcc", 5), ("rled", socket.Part.LedResistor.Value), ("rline", socket.Channel.Line.Series.Value), ("pin", Line.OutputStage.Value),
            ("pullup", socket.Channel.Line.Hold!.Resistance.Value), ("vf", type.LedForwardTypical.Value), ("if", LedTestCurrent), ("ctr", transfer), ("bf", type.CurrentGain), ("rload", load),
            ("rbleed", socket.Bleeder.Value), ("leak", leak));
        LevelReading Read(double volts) => new("", Instant.Start, new(volts), new(volts), new(volts), 16, new(0.005));
        var lit = Simulated(ratio, 0, socket.Ratio.Resistance.Value);
        // In the dark nothing but the leakage is there, and neither load.
        var (dark, empty) = (Simulated(0, 300e-9, 1e12), Simulated(0, 0, 1e12));
        var readings = new SocketReadings(
            Read(dark["emittervolts"]), new(Read(lit["anodevolts"]), Read(lit["cathodevolts"]), Read(lit["sinkvolts"]), Read(lit["emittervolts"]), Read(lit["lowvolts"])));
        var figures = SocketFigures.Of(socket, readings, Read(empty["emittervolts"]), type);
        Within(0.001, lit["ledcurrent"], figures.LedCurrent.Value);
        Within(0.001, ratio * (1 + (1 / type.CurrentGain)), figures.TransferRatio!.Value);
        Within(0.001, 300e-9, figures.Leakage.Value);
        // The formula's LED current, which takes the sheet's forward voltage, is that of the profile's window.
        Within(LedTolerance, lit["ledcurrent"], socket.CircuitWith(type).LedCurrent.Typical.Value);
    }

    /// <summary>The open collector of the tests' own board, with its own pull-up and two others.</summary>
    [Theory]
    [InlineData(null)]
    [InlineData(4_700.0)]
    [InlineData(10_000.0)]
    public void An_open_collector_is_low_within_its_data_and_rises_as_its_pull_up_charges_the_net(double? load)
    {
        var board = (DriverPart)_planetarium.Parts.Single(part => part.Name == "U4");
        var part = load is { } other ? board with { Load = new(other) } : board;
        var stage = StageModel.Of(part, part.DriverType.Sections[0], null);
        var threshold = part.Supply.Nominal.Value / 2;
        // A forced gain of 10 saturates it firmly.
        var run = CircuitSimulator.Run(
            "open-collector", ("vcc", part.Supply.Nominal.Value), ("r", part.Load!.Value.Value), ("c", StageModel.NetCapacitance.Value), ("threshold", threshold),
            ("ib", part.Supply.Nominal.Value / part.Load.Value.Value / 10), ("bf", 100));
        Assert.InRange(run["low"], stage.Circuit.OutputAt(Level.Low)!.Value.Minimum.Value, stage.Circuit.OutputAt(Level.Low)!.Value.Maximum.Value);
        Within(0.001, stage.Circuit.OutputAt(Level.High)!.Value.Typical.Value, run["high"]);
        var charging = RcEdge.Crossing(
            RcEdge.TimeConstant(part.Load.Value, StageModel.NetCapacitance), part.DriverType.SaturationTypical!.Value, part.Supply.Nominal, new(threshold))!.Value;
        // The deck's transistor starts at its own saturation voltage, some 0.1 V lower, and needs some nanoseconds to let go, which the sheet's own delay contains.
        Assert.InRange(run["rises"] - 2e-6, charging.ToSeconds(), (1.03 * charging.ToSeconds()) + part.DriverType.OffDelay.Typical.ToSeconds());
        // What the profile is judged by has room for it.
        Assert.InRange(run["rises"] - 2e-6, 0, stage.Rise.Latest.ToSeconds());
    }

    /// <summary>A deck with a wrong formula in its place is seen: a load that is 10 % off moves the delay out of its tolerance.</summary>
    [Fact]
    public void A_load_that_is_a_tenth_off_is_told_from_the_right_one()
    {
        var right = WithSink(_dome, "OK1", part => part);
        var run = Isolator("isolator-collector", WithSink(_dome, "OK1", part => part with { Load = new(11_000) }), lit: 1e-3, step: 0.1e-6);
        Assert.NotInRange(run["rises"] - 1010e-6, OffEdge(right) * (1 - OffTolerance), OffEdge(right) * (1 + OffTolerance));
    }

    private static void On(IsolatorCircuit circuit, double simulated)
    {
        var type = circuit.Part.IsolatorType;
        var computed = (circuit.OnDelay(circuit.Available.Typical)!.Value - type.OnDelay.Typical).ToSeconds();
        var photo = circuit.Available.Typical.Value / type.CurrentGain;
        var charging = BaseVolts * type.CollectorBaseCapacitance.Value / photo;
        Assert.InRange(simulated, computed * (1 - OnTolerance), (computed * (1 + OnTolerance)) + charging);
    }

    private static void Off(IsolatorCircuit circuit, double simulated) => Within(OffTolerance, OffEdge(circuit), simulated);

    /// <summary>What the load adds to the sheet's delay.</summary>
    private static double OffEdge(IsolatorCircuit circuit) =>
        (circuit.OffDelay(circuit.Available.Typical)!.Value - circuit.Part.IsolatorType.OffDelay.Typical).ToSeconds();

    private static SimulatedCircuit Isolator(string deck, IsolatorCircuit circuit, double lit, double step)
    {
        var (part, type) = (circuit.Part, circuit.Part.IsolatorType);
        return CircuitSimulator.Run(
            deck, ("vled", part.LedSupply.Nominal.Value), ("rled", part.LedResistor.Value), ("sink", circuit.Sink!.Volts.Typical.Value), ("vf", type.LedForwardTypical.Value),
            ("if", LedTestCurrent), ("ctr", type.TransferRatioTypical!.Value), ("bf", type.CurrentGain), ("ccb", type.CollectorBaseCapacitance.Value),
            ("storage", type.StorageConstant.ToSeconds()), ("vcc", part.OutputSupply.Nominal.Value), ("rload", part.Load.Value), ("threshold", circuit.Threshold.Value), ("on", lit),
            ("step", step));
    }

    /// <summary>The isolator of a board, changed, behind the stage that is in front of it there.</summary>
    private static IsolatorCircuit WithSink(Board board, string name, Func<IsolatorPart, IsolatorPart> change)
    {
        var stages = board.Channels.Select(channel => channel.Stages).First(stages => stages.Any(stage => stage.Part.Name == name));
        var index = stages.ToList().FindIndex(stage => stage.Part.Name == name);
        return new(change((IsolatorPart)stages[index].Part), StageModel.SinkOf(stages, index));
    }

    private static Board Load(string profile)
    {
        var result = ProfileLoader.Load(profile, Path.Combine(Repository.Root, "profiles", "parts"));
        return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
    }

    private static void Within(double tolerance, double computed, double simulated) => Assert.InRange(simulated, computed * (1 - tolerance), computed * (1 + tolerance));
}
