using System.Collections.Immutable;
using System.Globalization;
using Spectre.Console;
using TestRig.Bench.Campaigns;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;

namespace TestRig.Commands;

/// <summary>Shows a campaign: how far it is, in a terminal; then its figures beside the board's bound, and what fell short.</summary>
internal sealed class CampaignView(TextScreen screen)
{
    /// <summary>The record has all.</summary>
    private const int MostShown = 20, MostNamed = 6, MostSuggested = 5;

    private static readonly ImmutableArray<int> _groupSizes = [1, 2, 3];

    public void Start(Board board, CampaignOptions options)
    {
        screen.Say("Board    ", $"{board.Name}: {Count(board.Channels.Length, "channel")}, {Words.Of(board.Moves ? options.Mode : Core.Scheduling.ExerciseMode.LogicOnly)}");
        screen.Say("Bench    ", $"SIMULATED, seed {options.Seed.ToString(CultureInfo.InvariantCulture)}, resolution {options.Figures.Resolution}. What is found out here is true of real boards as far as the simulation is.");
        screen.Say();
    }

    public Task<CampaignResult> FollowAsync(Func<IProgress<CampaignStep>, CampaignResult> run) => screen.IsLive
        ? screen.Console.Status().StartAsync("Beginning", context => Task.Run(() => run(new Progress(step => context.Status(Markup.Escape($"{step.Doing}: {Number(step.Done)} of {Number(step.Of)}"))))))
        : Task.Run(() => run(new Progress(_ => { })));

    public void Finish(CampaignResult result)
    {
        screen.Show(Figures(result));
        screen.Say("Groups   ", $"{Of(result.AsShown, result.Detectable.Length)} of the detectable faults were reported with all that looks like them, and nothing else, as far as the bench that was swept shows it; {Of(result.AsBound, result.Detectable.Length)} with all that looks like them on any bench. Isolation, too, is of the detectable ones.");
        if (result.Trials.Count(trial => !trial.Bound.Detectable) is > 0 and var hidden)
            screen.Say("Hidden   ", $"{Count(hidden, "fault")} that no sweep of this board can show: it looks as if nothing were wrong.");
        if (!result.NotTried.IsEmpty)
            screen.Say("Untried  ", $"{Count(result.NotTried.Length, "fault")} that the simulated bench does not have, such as {result.NotTried[0].Name}.");
        Healthy(result.Healthy);
        Pairs(result);
        FellShort(result);
        Suggestions(result);
        screen.Say();
        foreach (var goal in result.Goals)
            screen.Say(goal.Held ? "goal held    " : "GOAL FAILED  ", $"{goal.Words}: {Percent(goal.Share)}.");
    }

    private static Table Figures(CampaignResult result)
    {
        var table = new Table().Border(TableBorder.Simple);
        table.AddColumn("Of MIL-STD-2165");
        table.AddColumn(new TableColumn("the board permits").RightAligned());
        table.AddColumn(new TableColumn("found").RightAligned());
        var tried = result.Trials.Length;
        table.AddRow($"faults detected, of {Number(tried)} (FFD)", Of(result.Detectable.Length, tried), Of(result.Detected, tried));
        foreach (var size in _groupSizes)
        {
            table.AddRow(
                $"isolated to {(size == 1 ? "1 item" : $"{size.ToString(CultureInfo.InvariantCulture)} or fewer")} (FFI)",
                Of(result.BoundIsolated(size), result.Detectable.Length), Of(result.Isolated(size), result.Detectable.Length));
        }
        return table;
    }

    private void Healthy(HealthyTally healthy)
    {
        if (healthy.Sweeps == 0)
            return;
        screen.Say("Healthy  ", $"{Count(healthy.Alarms.Length, "false alarm")} in {Count(healthy.Sweeps, "sweep")} of boards on which nothing is wrong; with 95 % confidence at most {Small(healthy.AlarmsAtMost)} of such sweeps give one ({(healthy.Alarms.IsEmpty ? "rule of three" : "Clopper and Pearson")}).");
        foreach (var alarm in healthy.Alarms.Take(MostShown))
            screen.Say("  alarm  ", $"seed {alarm.Seed.ToString(CultureInfo.InvariantCulture)}: {alarm.Words}");
    }

    private void Pairs(CampaignResult result)
    {
        if (result.Pairs.IsEmpty)
            return;
        var (detectable, distinct, masked, another) = (result.DetectablePairs, result.PairsOf(PairLook.Distinct), result.PairsOf(PairLook.Masked), result.PairsOf(PairLook.LikeAnother));
        screen.Say("Pairs    ", $"{Of(detectable.Count(pair => pair.Detected), detectable.Length)} of {Count(detectable.Length, "detectable pair")} detected; {Number(result.Pairs.Length - detectable.Length)} more look as if nothing were wrong.");
        screen.Say("         ", $"Neither hides the other in {Number(distinct.Length)}: both are within the first two groups in {Of(distinct.Count(pair => pair.Found), distinct.Length)}; in {Number(distinct.Count(pair => pair.SaidAlike))} more what was named looks just like the two and is no less probable.");
        screen.Say("         ", $"One hides the other in {Number(masked.Length)}: the visible one is named in {Of(masked.Count(pair => pair.Found), masked.Length)}.");
        screen.Say("         ", $"Together they look as one other fault in {Number(another.Length)}: that one is named in {Of(another.Count(pair => pair.Found), another.Length)}.");
    }

    private void FellShort(CampaignResult result)
    {
        foreach (var trial in result.FellShort.Take(MostShown))
        {
            screen.Say();
            screen.Say("short    ", $"{trial.Fault.Name} (seed {trial.Seed.ToString(CultureInfo.InvariantCulture)}): {Reason(trial)}");
            screen.Say("  bound  ", Names(trial.Bound.Faults));
            foreach (var group in trial.Reported)
                screen.Say("  said   ", Names(group));
            if (!trial.LeftOut.IsEmpty)
                screen.Say("  not    ", $"{Names(trial.LeftOut)}, which could have shown the same on this bench");
        }
        More(result.FellShort.Length, "fault");
        foreach (var pair in result.PairsFellShort.Take(MostShown))
        {
            screen.Say();
            screen.Say("short    ", $"{pair.First.Name} with {pair.Second.Name} (seed {pair.Seed.ToString(CultureInfo.InvariantCulture)}): {(pair.Detected ? "not both are within the first two groups." : "not detected.")}");
            foreach (var groups in pair.Reported)
                screen.Say("  said   ", string.Join("; else ", groups.Select(Names)));
        }
        More(result.PairsFellShort.Length, "pair");
    }

    private void More(int count, string what)
    {
        if (count > MostShown)
            screen.Say("short    ", $"and {Count(count - MostShown, $"more {what}")}; --json has all.");
    }

    private static string Reason(FaultTrial trial) => !trial.Detected ? "not detected."
        : trial.Reported.IsEmpty ? "detected, but nothing was named."
        : trial.Reported.Length > 1 ? $"taken for {Number(trial.Reported.Length)} faults."
        : !trial.Reported[0].Contains(trial.Fault) ? "not among what was named."
        : !trial.IsWithinBound ? "with it something that a sweep tells from it."
        : "without something that looks the same on this bench.";

    private void Suggestions(CampaignResult result)
    {
        if (result.Suggestions is not { } suggestions)
            return;
        screen.Say();
        if (suggestions.IsEmpty)
            screen.Say("Suggest  ", "No test point or voltage measurement on a channel's path would tell more.");
        foreach (var one in suggestions.Take(MostSuggested))
            screen.Say("Suggest  ", $"{Added(one)}: tells {Count(one.ToldApart, "fault")} from the rest of the largest group, and shows {Number(one.Detected)} of those that nothing shows now.");
    }

    private static string Added(Suggestion one) => one.Kind switch
    {
        AddedMeasurement.Converter => $"an input that reads voltages at {one.Net}",
        AddedMeasurement.Lead => $"a lead to {one.Net}",
        _ => $"a lead to {one.Net}, at an input that reads voltages",
    };

    private static string Names(ImmutableArray<BoardFault> faults) =>
        string.Join(", ", faults.Take(MostNamed).Select(fault => fault.Name)) + (faults.Length > MostNamed ? $" and {Number(faults.Length - MostNamed)} more" : "");

    private static string Of(int some, int all) => $"{Number(some)} ({(all == 0 ? "of none" : Percent((double)some / all))})";

    private static string Count(int number, string one) => $"{Number(number)} {one}{(number == 1 ? "" : "s")}";

    private static string Number(int number) => number.ToString("N0", CultureInfo.InvariantCulture).Replace(',', ' ');

    /// <summary>Never rounded up to 100 %.</summary>
    private static string Percent(double share) => string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(share * 1000) / 10:0.0} %");

    /// <summary>Rounded up, two digits of it.</summary>
    private static string Small(double share)
    {
        var percent = share * 100;
        var step = Math.Pow(10, Math.Floor(Math.Log10(percent)) - 1);
        return string.Create(CultureInfo.InvariantCulture, $"{Math.Ceiling(percent / step) * step:0.######} %");
    }

    /// <summary>From many threads; one at a time gets to the screen.</summary>
    private sealed class Progress(Action<CampaignStep> show) : IProgress<CampaignStep>
    {
        private readonly Lock _lock = new();

        public void Report(CampaignStep value)
        {
            lock (_lock)
                show(value);
        }
    }
}
