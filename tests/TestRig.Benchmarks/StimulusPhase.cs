using System.Globalization;
using Serilog.Core;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
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
    private const double Goal = 1.05;
    private const int Sweeps = 7;

    public static string Measure()
    {
        using var emulated = EmulatedBench.Start();
        var ratios = Enumerable.Range(0, Sweeps).Select(_ => SweepOnce(emulated.Port).GetAwaiter().GetResult()).Order().ToList();
        var median = ratios[ratios.Count / 2];
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{Name}: {median:0.000} (goal <= {Goal} {(median <= Goal ? "met" : "MISSED")}; spread {ratios[0]:0.000}..{ratios[^1]:0.000} over {Sweeps} sweeps)");
    }

    private static async Task<double> SweepOnce(string port)
    {
        var board = ProfileLoader.Load(Repository.DomeProfile, Path.Combine(Repository.Root, "profiles", "parts")).Board
            ?? throw new InvalidOperationException("The demonstration profile does not load.");
        await using var adapter = await SerialAdapter.OpenAsync(port, CancellationToken.None).ConfigureAwait(false);
        var sweep = new Sweep(board, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Logger.None);
        var result = await sweep.RunAsync(new Progress<SweepEvent>(), CancellationToken.None).ConfigureAwait(false);
        if (result.AnyFaulty || result.Incomplete)
            throw new InvalidOperationException($"The sweep went wrong: {result.Ending.Words}");
        return result.StimulusElapsed.TotalSeconds / result.PlannedStimulus.ToSeconds();
    }
}
