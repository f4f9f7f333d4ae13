using System.CommandLine;
using TestRig.Bench.Campaigns;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Simulation;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig campaign PROFILE: every fault into the simulated bench, and what sweeps say of it beside what the board permits to say.</summary>
internal static class CampaignCommand
{
    private const int UsualPairs = 300, UsualHealthy = 1000, UsualSeed = 1;

    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var twice = new Option<bool>("--double") { Description = "Also pairs of faults of different parts, leads or lines." };
        var pairs = NumberOption.Create("--pairs", $"So many pairs, drawn at random (implies --double; default {UsualPairs}).", least: 1);
        var healthy = NumberOption.Create("--healthy", $"So many sweeps of boards on which nothing is wrong; each alarm is a false one (default {UsualHealthy}).", least: 0);
        var seed = NumberOption.Create("--seed", $"Other benches: other parts of the same kinds, other noise, other pairs (default {UsualSeed}).", least: int.MinValue);
        var resolution = QuantityOption.Create<Duration?>(
            "--resolution", $"An adapter that resolves times no better than this, for example 4us; that of our own firmware, {AdapterFigures.Reference.Resolution}, when left out.", "TIME", QuantityText.Time);
        var motion = new Option<bool>("--allow-motion") { Description = "The simulated machine moves, as with 'testrig sweep --allow-motion'; nothing real does." };
        var suggest = new Option<bool>("--suggest") { Description = "Also say which test point or voltage measurement, if it were added, would tell most of what no sweep tells apart now." };
        var json = JsonOption.Create("the campaign's record");
        var command = new Command("campaign", "Break everything on the simulated bench, one thing at a time, and count what a sweep finds of it.")
        {
            profile, twice, pairs, healthy, seed, resolution, motion, suggest, json,
        };
        command.SetAction((parsed, cancellation) => RunAsync(
            parsed.GetRequiredValue(profile),
            new(
                parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly,
                parsed.GetValue(seed) ?? UsualSeed,
                parsed.GetValue(healthy) ?? UsualHealthy,
                parsed.GetValue(pairs) ?? (parsed.GetValue(twice) ? UsualPairs : 0),
                parsed.GetValue(suggest))
            {
                Figures = parsed.GetValue(resolution) is { } coarsest ? AdapterFigures.Reference.Coarser(coarsest) : AdapterFigures.Reference,
            },
            parsed.GetValue(json),
            cancellation));
        return command;
    }

    private static async Task<int> RunAsync(FileInfo profile, CampaignOptions options, string? json, CancellationToken cancellation)
    {
        if (ProfileInput.Load(profile) is not { } board)
            return ExitCode.BadUsage;
        var view = new CampaignView(JsonOption.Screen(json));
        view.Start(board, options);
        var result = await view.FollowAsync(progress => new Campaign(board, options, progress).Run(cancellation));
        view.Finish(result);
        await JsonOption.WriteAsync(json, CampaignJson.Write(result, profile.ToString()));
        return result.Goals.All(goal => goal.Held) ? ExitCode.AllWorking : ExitCode.FaultsFound;
    }
}
