using TestRig.Bench.Simulation;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Campaigns;

/// <summary>What a campaign tries.</summary>
/// <param name="Seed">The same seed gives the same benches, the same pairs and the same result.</param>
/// <param name="Healthy">Sweeps of boards on which nothing is wrong, at least 0.</param>
/// <param name="Pairs">Pairs of faults, at least 0; 0 tries single faults only.</param>
/// <param name="Suggest">Whether to look for the added measurement that would tell most.</param>
public sealed record CampaignOptions(ExerciseMode Mode, int Seed, int Healthy, int Pairs, bool Suggest)
{
    /// <summary>Of the adapter.</summary>
    public AdapterFigures Figures { get; init; } = AdapterFigures.Reference;
}
