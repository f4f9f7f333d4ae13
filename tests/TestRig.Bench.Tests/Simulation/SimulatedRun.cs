using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>The demonstration board on the simulated bench.</summary>
internal static class SimulatedRun
{
    public static Board Dome { get; } = ProfileLoader.Load(Repository.DemoProfile, Repository.PartsFolder).Board!;

    public static FaultPlan Faults(params string[] written) => FaultyBench.Plan(Dome, written);

    public static Task<SweepResult> SweepAsync(int seed, ExerciseMode mode = ExerciseMode.LogicOnly, params string[] faults) =>
        SweepAsync(new SimulatedAdapter(Dome, Faults(faults), seed, mode == ExerciseMode.Motion), mode);

    public static async Task<SweepResult> SweepAsync(SimulatedAdapter adapter, ExerciseMode mode)
    {
        await using (adapter)
        {
            return await new Sweep(Dome, adapter, new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
                .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        }
    }

    /// <summary>As a run's record writes it: "stuck-low".</summary>
    public static string Word(Condition condition) => JsonNamingPolicy.KebabCaseLower.ConvertName(condition.ToString());

    public static IReadOnlyDictionary<string, string> Conditions(SweepResult result) =>
        result.Channels.ToDictionary(channel => channel.Channel.Name, channel => Word(channel.Condition));

    /// <summary>All that the profile asks for, so that a program of one channel may run.</summary>
    public static AdapterLimits Limits(Board board) => new(
        [.. board.Lines.Select(line => new LineLimit(line.AdapterPin, line.Idle, line.LongestOn, line.Rest,
            [.. board.KeptApart.Where(pair => pair.First == line).Select(pair => pair.Second.AdapterPin)]))],
        [.. board.Stops.Select(stop => new StopLimit(stop.Point.AdapterPin!, stop.StopsAt, [.. stop.Lines.Select(line => line.AdapterPin)]))],
        [],
        Duration.FromMilliseconds(5000));

    public static StimulusProgram Program(string channel, ExerciseMode mode = ExerciseMode.LogicOnly) => Scheduler.Plan(
        TurnOrder.Of(Dome.Channels.First(candidate => candidate.Name == channel)), mode, ExerciseOptions.For(AdapterFigures.Reference.Tick * AdapterFigures.Reference.Sample),
        [.. Enumerable.Range(0, 16).Select(pin => $"A{pin}")], PointSelection.Of(Dome)).Runs[0].Program;

    /// <summary>What one channel's exercise gives, signals by test-point name.</summary>
    public static async Task<Capture> CaptureAsync(int seed, string channel, ExerciseMode mode = ExerciseMode.LogicOnly, params string[] faults)
    {
        await using var adapter = new SimulatedAdapter(Dome, Faults(faults), seed, mode == ExerciseMode.Motion);
        await adapter.ArmAsync(Limits(Dome), CancellationToken.None);
        var run = await adapter.RunAsync(Program(channel, mode), CancellationToken.None);
        return new TestPointNames(PointSelection.Of(Dome)[0].Points).Apply(run.Capture);
    }

    /// <summary>Every number of a capture, to compare two.</summary>
    public static string Text(Capture capture)
    {
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"{capture.End} {capture.Ending}\n");
        foreach (var signal in capture.Signals)
            text.Append(CultureInfo.InvariantCulture, $"{signal.Name} {signal.Initial} {string.Join(' ', signal.Changes)}\n");
        foreach (var level in capture.Levels)
            text.Append(CultureInfo.InvariantCulture, $"{level.Signal} {level.Mean.Value:R} {level.Minimum.Value:R} {level.Maximum.Value:R}\n");
        return text.ToString();
    }

    public static ImmutableArray<Level> Levels(Capture capture, string point) =>
        capture.Find(point) is { } signal ? [signal.Initial, .. signal.Changes.Select(change => change.Level)] : [];
}
