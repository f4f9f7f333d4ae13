using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Whole sweeps of a board with the kinds of part that the demonstration boards lack, from its profile to the verdict.</summary>
public sealed class PlanetariumSweepTests : IDisposable
{
    private static readonly string Profile = Path.Combine(Repository.Root, "tests", "TestRig.Bench.Tests", "Simulation", "planetarium.yaml");

    private static readonly Lazy<Board> Loaded = new(() =>
    {
        var result = ProfileLoader.Load(Profile, Repository.PartsFolder);
        return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
    });

    private static Board Planetarium => Loaded.Value;

    private readonly DirectoryInfo _folder = TestFolders.Create();

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task A_healthy_card_is_all_working_whatever_its_parts_are_like()
    {
        for (var seed = 0; seed < 50; seed++)
        {
            var result = await SweepAsync(seed);
            Assert.True(
                result.Channels.Length == 5 && result.Channels.All(channel => channel.Condition == Condition.Working) && !result.Incomplete,
                $"seed {seed}: {string.Join("; ", result.Channels.Select(channel => channel.Summary))} {result.Ending.Words}");
        }
    }

    [Theory]
    [InlineData("U1:3=stuck-low", "stars", "stuck-low", "U1")]
    [InlineData("U1:6=dead", "sunrise", "stuck-high", "U1")] // a NAND keeps driving its idle level
    [InlineData("U1:8=inverted", "moon", "inverted", "U1")] // an AND was fitted
    [InlineData("U2:2=stuck-high", "stars", "stuck-high", "U2")]
    [InlineData("U2:4=weak", "meteor", "weak", "U2")]
    [InlineData("U3:16=dead", "stars", "dead", "U3")]
    [InlineData("U3:15=stuck-low", "meteor", "stuck-low", "U3")]
    [InlineData("U3:14=weak", "moon", "weak", "U3")]
    [InlineData("U4:2=stuck-low", "sunrise", "dead", "U4")] // it conducts while idle, and does not let go
    [InlineData("U6:2=dead", "zodiac", "dead", "U6")]
    [InlineData("U6:2=weak", "zodiac", "weak", "U6")]
    [InlineData("U7:18=stuck-low", "moon", "stuck-low", "U7")]
    [InlineData("OK1=dead", "zodiac", "dead", "OK1")]
    [InlineData("OK1=weak", "zodiac", "weak", "OK1")]
    [InlineData("OK1=slow:4x", "zodiac", "slow", "OK1")]
    [InlineData("Q1=stuck-low", "zodiac", "stuck-low", "Q1")]
    [InlineData("K1=dead", "meteor", "dead", "K1")]
    public async Task One_fault_is_judged_and_named_as_a_technician_would(string fault, string channels, string condition, string suspect)
    {
        for (var seed = 1; seed <= 4; seed++)
        {
            var result = await SweepAsync(seed, fault);
            var conditions = SimulatedRun.Conditions(result);
            Assert.True(
                conditions.All(entry => entry.Value == (TideGaugeFaults.Concerns(channels, entry.Key) ? condition : "working")),
                $"seed {seed}: {string.Join(", ", conditions)}; {string.Join("; ", result.Channels.Select(channel => channel.Summary))}");
            Assert.True(result.Diagnosis.Suspects.First().Group.Contains(suspect), $"seed {seed}: {string.Join("; ", result.Diagnosis.Suspects.Select(known => $"{string.Join(" / ", known.Group)} {known.Words} {known.Belief}"))}");
        }
    }

    /// <summary>Without its supply a package leaves its nets to the inputs behind it, which lift them some way.</summary>
    [Fact]
    public async Task A_package_of_gates_without_its_supply_is_one_suspect()
    {
        var result = await SweepAsync(1, "U1=no-supply");
        Assert.All(result.Channels, channel => Assert.Equal(channel.Channel.Name is "meteor" or "zodiac", channel.Condition == Condition.Working));
        Assert.Contains("U1", result.Diagnosis.Suspects.First().Group);
    }

    /// <summary>Every fault of every section is seen, but a weak output where no lead is: the gate behind it restores its level.</summary>
    [Fact]
    public async Task No_fault_of_a_section_passes_for_a_healthy_card()
    {
        foreach (var stage in Planetarium.Channels.SelectMany(channel => channel.Stages))
        {
            foreach (var mode in (string[])["dead", "stuck-low", "stuck-high", .. stage.Part is RelayPart ? ["bouncing"] : (string[])["weak"], .. stage.Part is BufferPart ? ["inverted"] : (string[])[]])
            {
                var fault = $"{stage.OutputName.Replace('.', ':')}={mode}";
                if (fault == "U2:6=weak")
                    continue;
                // A relay's contact is the part's, not a pin's.
                var result = await SweepAsync(3, mode == "bouncing" ? $"{stage.Part.Name}={mode}" : fault);
                Assert.True(result.Channels.Any(channel => channel.Condition != Condition.Working), $"{fault} was not seen");
            }
        }
    }

    /// <summary>A gate whose other input falls, and a buffer whose enable rises, let nothing through: what the profile says holds those pins is really there.</summary>
    [Theory]
    [InlineData("U1", "2", Level.Low, "stars")]
    [InlineData("U7", "1", Level.High, "moon")]
    public async Task The_pins_beside_the_command_are_there(string part, string pin, Level wrong, string channel)
    {
        var good = (BufferPart)Planetarium.Parts.Single(known => known.Name == part);
        var changed = good with { Tied = [.. good.Tied.Select(tied => tied.Pin == pin ? new TiedPin(pin, wrong == Level.High ? good.Supply : null, null, wrong) : tied)] };
        // The same board, with the pin wired otherwise than its stages are derived from.
        var board = Planetarium with
        {
            Parts = [.. Planetarium.Parts.Select(known => known == good ? changed : known)],
            Channels = [.. Planetarium.Channels.Select(known => known with { Stages = [.. known.Stages.Select(stage => stage.Part == good ? stage with { Part = changed } : stage)] })],
        };
        var (plan, _) = FaultPlan.Of(board, []);
        await using var adapter = new SimulatedAdapter(board, plan!, 1, motorSupplyOn: false);
        var result = await new Sweep(board, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.NotEqual(Condition.Working, result.Channels.Single(known => known.Channel.Name == channel).Condition);
        Assert.Equal(Condition.Working, result.Channels.Single(known => known.Channel.Name == "meteor").Condition);
    }

    [Fact]
    public void Explain_tells_the_pins_beside_the_command_and_the_levels_of_each_kind()
    {
        var points = ProfileExplanation.Of(Planetarium).Channels.SelectMany(channel => channel.Points).ToLookup(point => point.Point, point => string.Join('\n', point.Circuit));
        Assert.Contains("lets the command through while pin 2 is high, which is at logic", points["U1.3"].Single(), StringComparison.Ordinal);
        Assert.Contains("lets the command through while pin 10 is high, which is at P2.9", points["U1.8"].Single(), StringComparison.Ordinal);
        Assert.Contains("enabled by pin 1 low, which is at P2.10", points["U7.18"].Single(), StringComparison.Ordinal);
        Assert.Contains("low: 900 mV typical, 0 V to 1.1 V [saturation: Toshiba ULN2003APG", points["U3.16"].Single(), StringComparison.Ordinal);
        Assert.Contains("high: 12 V typical, 10.8 V to 13.2 V [1 kohm ±5 % to lamps", points["U4.2"].Single(), StringComparison.Ordinal);
        // The 7407 in front sinks the LED: (5 − 1.15 − 0.4) V / 270 ohm.
        Assert.Contains("(5 − 1.15 − 0.4) V / 270 ohm = 12.8 mA", points["OK1.4"].Single(), StringComparison.Ordinal);
        Assert.Contains("high: 11.8 V typical", points["OK1.4"].Single(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("2: logic, 5: logic, ", "5: logic, ", "U1 1>3 passes a command only while pin 2 is high, and nothing tells what that pin is wired to", "'tied: { 2: logic }'")]
    [InlineData("tied: { 2: logic,", "tied: { 2: ground,", "U1 1>3 is blocked: pin 2 is low at ground", "correct the pins of the path")]
    [InlineData("tied: { 1: ground }", "tied: { 1: logic }", "U5 2>18 is disabled: its enable, pin 1, is high at logic", "correct parts.U5.tied")]
    [InlineData("10: P2.9 is high", "10: P2.9", "does not say which level 'P2.9' has", "'P2.9 is low'")]
    [InlineData("10: P2.9 is high", "10: P2.8 is high", "no supply and no test point 'P2.8'", "did you mean")]
    [InlineData("10: P2.9 is high", "10: P2.3 is high", "a command moves 'P2.3'", "'10: logic'")]
    [InlineData("10: P2.9 is high", "10: U2.2 is high", "a command moves 'U2.2'", "'10: logic'")]
    [InlineData("10: P2.9 is high", "10: coils", "supply 'coils' has 24 V, and a pin of this package takes 5.25 V", "tie it to 'logic'")]
    [InlineData("10: P2.9 is high", "10: logic is high", "'logic' has one level only", "'10: logic'")]
    [InlineData("10: P2.9 is high", "10: P2.9 is up", "does not say what the pin is wired to", "'J2.7 is low'")]
    [InlineData("10: P2.9 is high", "10: P2.9 is high, 7: ground", "pin 7 of a 74LS00 is neither an enable", "such pins are")]
    [InlineData("10: P2.9 is high", "10: P2.9 is high, 1: logic", "the command enters U1 at pin 1, which is tied to logic", "parts.U1.tied")]
    [InlineData("U2: { type: 74LS04, supply: logic }", "U2: { type: 74LS04, supply: logic, tied: { 1: logic } }", "pin 1 of a 74LS04 is neither an enable", "it has no such pin")]
    [InlineData("U2: { type: 74LS04, supply: logic }", "U2: { type: 74LS04, supply: logic, load: 1 kohm }", "a 74LS04 has no such key", "remove it")]
    [InlineData("supply: logic, output: { from: lamps, load: 1 kohm }", "supply: logic", "'output' is missing; a 74LS06 needs it", "'output: { from: logic, load: 1 kohm }'")]
    [InlineData("output: { from: lamps, load: 1 kohm }", "output: { from: lamps, load: 1 kohm, taken-at: emitter }", "a 74LS06 has no such key", "taken at the collector")]
    [InlineData("output: { from: lamps, load: 1 kohm }", "output: { from: lamps, load: 0 ohm }", "a load of 0 ohm ties the output to its supply", "'1 kohm'")]
    [InlineData("load: 4.7 kohm, taken-at: emitter", "load: 4.7 kohm", "'taken-at' is missing; a 4N25 needs it", "'taken-at: collector'")]
    [InlineData("load: 680 ohm", "load: 0 ohm", "0 ohm is a short circuit", "'400 ohm' for a coil")]
    [InlineData("path: [ U1 1>3, U2 1>2, U3 1>16 ]", "path: [ U1 1>3, U2 1>2, U3 ]", "U3 has several sections; which one?", "'U3 1>16'")]
    [InlineData("path: [ U1 1>3, U2 1>2, U3 1>16 ]", "path: [ U1 1>3, U2 1>2, U3 1>15 ]", "a ULN2003A has no section 1>15", "did you mean 'U3 1>16'?")]
    [InlineData("stars:   { adapter: D22, idle: low,  pull-down: 1 kohm", "stars:   { adapter: D22, idle: low,  pull-down: 2.2 kohm", "the input current of U1 1>3, 400 µA, lifts a 2.2 kohm pull-down", "use at most")]
    [InlineData("U3.16: { adapter: A9, divider: 100 kohm / 22 kohm }", "U3.16: { adapter: A9 }", "U3.16 reaches 26.4 V and has no divider", "divider")]
    public void A_mistake_with_the_new_kinds_is_told_with_its_remedy(string from, string to, string what, string remedy)
    {
        var text = File.ReadAllText(Profile);
        Assert.Contains(from, text, StringComparison.Ordinal);
        var path = Path.Combine(_folder.FullName, "planetarium.yaml");
        File.WriteAllText(path, text.Replace(from, to, StringComparison.Ordinal));
        var errors = ProfileLoader.Load(path, Repository.PartsFolder).Errors;
        var error = Assert.Single(errors.Distinct());
        Assert.Contains(what, error.What, StringComparison.Ordinal);
        Assert.Contains(remedy, error.Remedy, StringComparison.Ordinal);
        Assert.True(error.Line > 0 && error.Column > 0);
    }

    [Fact]
    public void An_output_that_would_not_stand_its_supply_is_refused()
    {
        var path = Path.Combine(_folder.FullName, "planetarium.yaml");
        File.WriteAllText(path, File.ReadAllText(Profile).Replace("coils: { volts: 24 V ± 10 % }", "coils: { volts: 48 V ± 10 % }", StringComparison.Ordinal));
        var error = ProfileLoader.Load(path, Repository.PartsFolder).Errors[0];
        Assert.Contains("supply 'coils' reaches 52.8 V, and an output of U3, a ULN2003A, stands 50 V", error.What, StringComparison.Ordinal);
        Assert.Contains("lower supply", error.Remedy, StringComparison.Ordinal);
    }

    private static Task<SweepResult> SweepAsync(int seed, params string[] faults) =>
        DemoBoards.SweepAsync(Planetarium, seed, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), faults);
}
