using System.Collections.Immutable;
using System.Globalization;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests;

namespace TestRig.Benchmarks;

/// <summary>
/// How much of the stimulus phase is not stimulus: host time from asking for each program's start to learning of its end, summed over a sweep of the demonstration
/// board, against the programs' own planned length. Through the real firmware in the emulator, which keeps to real time.
/// </summary>
internal static class StimulusPhase
{
    public const string Name = "stimulus phase, time as a multiple of the programs' planned length";

    /// <summary>With channels exercised together: against the sum, over the turns, of the longest exercise alone, which no way of running them can beat.</summary>
    public const string TogetherName = "stimulus phase together, time as a multiple of the colouring's bound";

    private const int Sweeps = 7;

    public static string Measure() => Measure(Name, goal: 1.05, (adapter, board) => SweepAsync(adapter, board, together: false, result => result.PlannedStimulus.ToSeconds()));

    public static string MeasureTogether() => Measure(TogetherName, goal: 1.1, (adapter, board) => SweepAsync(adapter, board, together: true, _ => Bound(board, adapter)));

    private static string Measure(string name, double goal, Func<IAdapter, Board, Task<double>> sweep)
    {
        using var emulated = EmulatedBench.Start();
        var ratios = Enumerable.Range(0, Sweeps).Select(_ => SweepOnce(emulated.Port, sweep).GetAwaiter().GetResult()).Order().ToList();
        var median = ratios[ratios.Count / 2];
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{name}: {median:0.000} (goal <= {goal} {(median <= goal ? "met" : "MISSED")}; spread {ratios[0]:0.000}..{ratios[^1]:0.000} over {Sweeps} sweeps)");
    }

    private static double Bound(Board board, IAdapter adapter)
    {
        var options = ExerciseOptions.For(adapter.Identity.SampleTime);
        ImmutableHashSet<string> analog = [.. adapter.Pins.Where(pin => pin.Analog).Select(pin => pin.Name)];
        Duration Alone(Channel channel) => Scheduler.Plan(TurnOrder.Of(channel), ExerciseMode.LogicOnly, options, analog, PointSelection.Of(board)).Longest;
        return Scheduler.Together(board, ExerciseMode.LogicOnly, board.LinesOnTogether!.Value, _ => true).Sum(turn => turn.Channels.Max(Alone).ToSeconds());
    }

    private static async Task<double> SweepOnce(string port, Func<IAdapter, Board, Task<double>> sweep)
    {
        var board = ProfileLoader.Load(Repository.DomeProfile, Path.Combine(Repository.Root, "profiles", "parts")).Board
            ?? throw new InvalidOperationException("The demonstration profile does not load.");
        await using var adapter = await SerialAdapter.OpenAsync(port, CancellationToken.None).ConfigureAwait(false);
        return await sweep(adapter, board).ConfigureAwait(false);
    }

    private static async Task<double> SweepAsync(IAdapter adapter, Board board, bool together, Func<SweepResult, double> yardstick)
    {
        var options = new SweepOptions(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false) { Together = together };
        var sweep = new Sweep(board, adapter, options, TimeProvider.System, Logger.None);
        var result = await sweep.RunAsync(new Progress<SweepEvent>(), CancellationToken.None).ConfigureAwait(false);
        if (result.AnyFaulty || result.Incomplete)
            throw new InvalidOperationException($"The sweep went wrong: {result.Ending.Words}");
        return result.StimulusElapsed.TotalSeconds / yardstick(result);
    }
}
