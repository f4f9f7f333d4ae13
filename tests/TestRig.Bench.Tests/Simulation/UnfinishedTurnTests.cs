using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Adapters;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>A turn of several runs that ends in the middle: nothing is called working that was not wholly seen, and nothing is run for no use.</summary>
public class UnfinishedTurnTests
{
    /// <summary>The dome drive card with two of its points behind a multiplexer, so that every motion comes twice, each way in turn.</summary>
    private static readonly Board _board = BehindMultiplexer();

    [Fact]
    public async Task An_axis_at_its_limit_goes_back_once_and_neither_way_is_called_working()
    {
        await using var adapter = new EndingAdapter(new SimulatedAdapter(_board, FaultPlan.None, 1, motorSupplyOn: true), run: 1, new(CaptureOutcome.StopInput, "D49"));
        var result = await SweepAsync(adapter, ExerciseMode.Motion, together: false);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.Equal(["not-tested", "not-tested", "working", "working", "working", "working"], SimulatedRun.Conditions(result).Values);
        Assert.Equal(["D22", "D23", "D24", "D25", "D24", "D25", "D26", "D27", "D26", "D27"], adapter.Lines);
        Assert.Contains("Exercised 1 of 2 times", result.Channels[1].Summary, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_byte_on_the_link_ended_is_not_run_again_and_its_axis_is_left_alone()
    {
        await using var adapter = new EndingAdapter(new SimulatedAdapter(_board, FaultPlan.None, 1, motorSupplyOn: true), run: 1, new(CaptureOutcome.HostByte, null));
        var result = await SweepAsync(adapter, ExerciseMode.Motion, together: false);
        Assert.Equal(["not-tested", "not-tested", "working", "working", "working", "working"], SimulatedRun.Conditions(result).Values);
        Assert.Equal(["D22", "D24", "D25", "D24", "D25", "D26", "D27", "D26", "D27"], adapter.Lines);
        Assert.Contains("Exercised 0 of 2 times", result.Channels[1].Summary, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Channels_together_that_a_byte_ended_are_not_run_again_alone()
    {
        await using var adapter = new EndingAdapter(new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, 1, motorSupplyOn: false), run: 1, new(CaptureOutcome.HostByte, null));
        var result = await SweepAsync(adapter, ExerciseMode.LogicOnly, together: true, SimulatedRun.Dome);
        Assert.Equal(3, result.Channels.Count(channel => channel.Condition == Condition.NotTested));
        Assert.Equal(3, result.Channels.Count(channel => channel.Condition == Condition.Working));
        Assert.Equal(6, adapter.Lines.Count);
    }

    [Theory]
    [InlineData(CaptureOutcome.StopInput)]
    [InlineData(CaptureOutcome.HostByte)]
    public async Task Of_channels_together_that_did_not_all_work_none_is_judged_when_they_cannot_be_exercised_alone(CaptureOutcome outcome)
    {
        // What one of the first run's channels does with the bridge is hidden behind the other's command; the second run forbids to look alone.
        var (board, first) = ThreeAxesWithoutFeedback("net:OK1.5+OK3.5=bridged");
        await using var adapter = new EndingAdapter(first, run: 2, new(outcome, outcome == CaptureOutcome.StopInput ? "D43" : null));
        var result = await SweepAsync(adapter, ExerciseMode.Motion, together: true, board);
        var (left, open) = (result.Channels.First(channel => channel.Channel.Name == "rotate-left"), result.Channels.First(channel => channel.Channel.Name == "shutter-open"));
        Assert.Contains(open.Channel.Line.AdapterPin, adapter.Runs[0]);
        Assert.Contains(left.Channel.Line.AdapterPin, adapter.Runs[0]);
        Assert.Equal((Condition.NotTested, Condition.NotTested), (left.Condition, open.Condition));
        Assert.Contains("only alone", left.Summary, StringComparison.Ordinal);
        Assert.Equal(1, adapter.Lines.Count(line => line == left.Channel.Line.AdapterPin));
    }

    [Fact]
    public async Task Axes_together_whose_way_back_is_refused_are_not_moved_the_same_way_again()
    {
        var (board, first) = ThreeAxesWithoutFeedback();
        await using var adapter = new EndingAdapter(first, run: 2, ending: null);
        var result = await SweepAsync(adapter, ExerciseMode.Motion, together: true, board);
        var (left, right) = (result.Channels.First(channel => channel.Channel.Name == "rotate-left"), result.Channels.First(channel => channel.Channel.Name == "rotate-right"));
        Assert.True(adapter.Runs[0].Length > 1, "nothing was exercised together");
        Assert.Equal(1, adapter.Lines.Count(line => line == left.Channel.Line.AdapterPin));
        Assert.Equal((Condition.Working, Condition.NotTested), (left.Condition, right.Condition));
    }

    /// <summary>Without feedback, axes may move beside each other.</summary>
    private static (Board Board, SimulatedAdapter Adapter) ThreeAxesWithoutFeedback(params string[] faults)
    {
        var board = SimulatedRun.Dome with { Channels = [.. SimulatedRun.Dome.Channels.Select(channel => channel with { Feedback = [] })] };
        return (board, new(board, SimulatedRun.Faults(faults), 1, motorSupplyOn: true));
    }

    private static Task<SweepResult> SweepAsync(IAdapter adapter, ExerciseMode mode, bool together, Board? board = null) =>
        new Sweep(board ?? _board, adapter, new(mode, false, false) { Together = together }, TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);

    private static Board BehindMultiplexer()
    {
        var profile = File.ReadAllText(Repository.DemoProfile)
            .Replace("test-points:\n", "multiplexers: { M1: { type: 74HC4051, common: A15, select: [D2, D3, D4] } }\ntest-points:\n", StringComparison.Ordinal)
            .Replace("U3.18: { adapter: A0 }", "U3.18: { adapter: M1.Y0 }", StringComparison.Ordinal)
            .Replace("U3.9:  { adapter: A4 }", "U3.9:  { adapter: M1.Y6 }", StringComparison.Ordinal);
        var folder = TestFolders.Create();
        try
        {
            var path = Path.Combine(folder.FullName, "dome.yaml");
            File.WriteAllText(path, profile);
            var result = ProfileLoader.Load(path, Repository.PartsFolder);
            return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    /// <summary>An adapter whose n-th run ends as told, or is refused for an active stop input where no ending is told; all else is that of the one behind it.</summary>
    private sealed class EndingAdapter(IAdapter adapter, int run, CaptureEnding? ending) : AdapterInFront(adapter)
    {
        /// <summary>The lines of each run.</summary>
        public List<ImmutableArray<string>> Runs { get; } = [];

        /// <summary>The lines that went on, in order.</summary>
        public List<string> Lines { get; } = [];

        public override async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
        {
            Runs.Add([.. program.Steps.OfType<LinesStep>().SelectMany(step => step.OnPins).Distinct()]);
            if (Runs.Count == run && ending is null)
                throw new AdapterException(AdapterFault.StopActive, "A stop input is active.");
            Lines.AddRange(Runs[^1]);
            var burst = await base.RunAsync(program, cancellation);
            return Runs.Count == run ? burst with { Capture = burst.Capture with { Ending = ending! } } : burst;
        }
    }
}
