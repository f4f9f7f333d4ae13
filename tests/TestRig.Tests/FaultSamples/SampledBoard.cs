using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;

namespace TestRig.Tests.FaultSamples;

/// <summary>A board that both benches know: by its profile, and by a file of the emulated bench.</summary>
/// <param name="Figures">Of the adapter, as the real firmware states them.</param>
/// <param name="Pins">Of the adapter, as the real firmware lists them.</param>
internal sealed record SampledBoard(string Name, string Profile, Board Board, string EmulatedBoard, EmulatedChip Chip, AdapterFigures Figures, ImmutableArray<AdapterPin> Pins)
{
    /// <summary>The boards that are shipped: profile, file of the emulated bench, chip.</summary>
    public static ImmutableArray<(string Profile, string Emulated, string Chip)> Shipped { get; } =
    [
        ("dome-drive", "dome", EmulatedChip.Mega2560Name),
        ("tide-gauge", "tide-gauge", EmulatedChip.Mega2560Name),
        ("carillon", "carillon", EmulatedChip.Mega328PName),
    ];

    public static async Task<SampledBoard> LoadAsync((string Profile, string Emulated, string Chip) names)
    {
        var profile = Path.Combine(Repository.Root, "profiles", $"{names.Profile}.yaml");
        var emulated = Path.Combine(Repository.Root, "tools", "emulated-bench", "boards", $"{names.Emulated}.board");
        var (board, errors) = ProfileLoader.Load(profile, Path.Combine(Repository.Root, "profiles", "parts"));
        var chip = EmulatedChip.Of(names.Chip);
        using var bench = EmulatedBench.Start(board: emulated, chip: chip);
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, CancellationToken.None);
        return new(names.Profile, profile, board ?? throw new InvalidOperationException(string.Join('\n', errors)), emulated, chip, AdapterFigures.Like(adapter.Identity), adapter.Pins);
    }
}
