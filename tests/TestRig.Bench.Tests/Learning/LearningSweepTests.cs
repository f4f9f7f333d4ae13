using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Learning;

/// <summary>Learning on the simulated bench, and sweeping with what was learned.</summary>
public class LearningSweepTests
{
    private static readonly SweepOptions _options = new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false) { Repeats = 12 };

    [Theory]
    [InlineData("dome-drive")]
    [InlineData("tide-gauge")]
    [InlineData("carillon")]
    public async Task With_the_proposed_profile_the_same_captures_conform(string name)
    {
        const int seed = 5;
        var board = DemoBoards.Load(name);
        var (_, learned) = await LearnAsync(board, seed);
        Assert.All(learned, channel => Assert.Null(channel.Refusal));
        var windows = learned.SelectMany(channel => channel.Windows).ToList();
        Assert.NotEmpty(windows);

        var path = Path.Combine(Repository.Root, "profiles", $"{name}.yaml");
        var proposal = WindowProposal.Of(await File.ReadAllTextAsync(path), path, Repository.PartsFolder, learned, "on a simulated board");
        Assert.Empty(proposal.Errors);
        var proposed = ProfileLoader.LoadText(proposal.Text, path, Repository.PartsFolder).Board!;

        // The bench is the old board's, with the same seed: it does the same again.
        var rounds = new List<RoundDone>();
        await using var adapter = new SimulatedAdapter(board, FaultPlan.None, seed, motorSupplyOn: false);
        var swept = await new Sweep(proposed, adapter, _options, TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Collecting(rounds), CancellationToken.None);
        Assert.All(swept.Channels, channel => Assert.Equal(Condition.Working, channel.Condition));
        Assert.Equal(_options.Repeats, rounds.Count);
        foreach (var window in windows)
        {
            var wanted = window.Output == Level.High ? Expectation.Rises : Expectation.Falls;
            var findings = rounds.SelectMany(round => round.Results).SelectMany(result => result.Findings).Where(finding => finding.TestPoint == window.Stage.OutputName && finding.Expected == wanted).ToList();
            Assert.NotEmpty(findings);
            Assert.All(findings, finding => Assert.Equal((Verdict.Conforms, Timing.Conforms), (finding.Verdict, finding.Timing)));
            // It is the new window that they were judged by.
            Assert.All(findings, finding => Assert.InRange(finding.Latest!.Value.Picoseconds, window.Latest.Picoseconds, window.Latest.Scaled(1.02).Picoseconds));
        }
    }

    [Fact]
    public async Task A_faulty_channel_teaches_nothing_and_its_good_neighbours_do()
    {
        var (_, learned) = await LearnAsync(SimulatedRun.Dome, 5, "OK3=slow:3x");
        var faulty = learned.Single(channel => channel.Channel.Name == "shutter-open");
        Assert.Contains("would call its fault good", faulty.Refusal, StringComparison.Ordinal);
        Assert.Empty(faulty.Windows);
        Assert.All(learned.Where(channel => channel != faulty), channel => Assert.NotEmpty(channel.Windows));
    }

    [Fact]
    public async Task A_good_sibling_alone_is_exercised_and_its_windows_go_to_the_other()
    {
        var board = SimulatedRun.Dome;
        var (good, other) = (board.Channels.Single(channel => channel.Name == "shutter-close"), board.Channels.Single(channel => channel.Name == "shutter-open"));
        await using var adapter = new SimulatedAdapter(board, SimulatedRun.Faults("OK3=dead"), 5, motorSupplyOn: false);
        var (sweep, learned) = await new LearningSweep(board, adapter, _options, good, other, new(0.99, 0.95)).RunAsync(new Collecting([]), CancellationToken.None);
        Assert.Equal([good], sweep.Channels.Select(channel => channel.Channel));
        var windows = Assert.Single(learned).Windows;
        Assert.NotEmpty(windows);
        Assert.All(windows, window => Assert.Contains(window.Stage, other.Stages));
    }

    private static async Task<(SweepResult, ImmutableArray<LearnedChannel>)> LearnAsync(Board board, int seed, params string[] faults)
    {
        await using var adapter = FaultyBench.Of(board, seed, faults);
        return await new LearningSweep(board, adapter, _options, null, null, new(0.99, 0.95)).RunAsync(new Collecting([]), CancellationToken.None);
    }

    private sealed class Collecting(List<RoundDone> rounds) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is RoundDone round)
                rounds.Add(round);
        }
    }
}
