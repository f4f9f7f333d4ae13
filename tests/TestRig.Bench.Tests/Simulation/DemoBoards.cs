using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Every demonstration board on the simulated bench.</summary>
internal static class DemoBoards
{
    public static IReadOnlyList<string> Names { get; } =
        [.. Directory.GetFiles(Path.Combine(Repository.Root, "profiles"), "*.yaml").Select(path => Path.GetFileNameWithoutExtension(path)).Order(StringComparer.Ordinal)];

    public static Board Load(string name)
    {
        var result = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{name}.yaml"), Repository.PartsFolder);
        return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
    }

    public static Task<SweepResult> SweepAsync(Board board, int seed, SweepOptions options, params string[] faults) =>
        SweepAsync(board, seed, options, faults, sweep => sweep.RunAsync(new Progress<SweepEvent>(), CancellationToken.None));

    /// <summary>The same, judged and not diagnosed.</summary>
    public static Task<SweepResult> MeasureAsync(Board board, int seed, SweepOptions options, params string[] faults) =>
        SweepAsync(board, seed, options, faults, sweep => sweep.MeasureAsync(new Progress<SweepEvent>(), CancellationToken.None));

    private static async Task<SweepResult> SweepAsync(Board board, int seed, SweepOptions options, string[] faults, Func<Sweep, Task<SweepResult>> run)
    {
        await using var adapter = FaultyBench.Of(board, seed, faults, options.Mode == Core.Scheduling.ExerciseMode.Motion);
        return await run(new Sweep(board, adapter, options, TimeProvider.System, Serilog.Core.Logger.None));
    }
}
