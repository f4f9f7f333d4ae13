using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Campaigns;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>The record of a campaign for other programs, format testrig-campaign/1. Faults are written as for --fault. It holds no time: the same campaign gives the same record.</summary>
public static class CampaignJson
{
    private static readonly int[] _items = [1, 2, 3];

    public static string Write(CampaignResult result, string profile) => JsonSerializer.Serialize(Document(result, profile), RecordJson.Options);

    private static CampaignDocument Document(CampaignResult result, string profile) => new(
        "testrig-campaign/1",
        result.Board.Name,
        profile,
        result.Options.Mode,
        result.Options.Seed,
        result.Options.Figures.Resolution.Picoseconds,
        [.. result.Goals.Select(goal => new GoalEntry(goal.Words, goal.Share, goal.Held))],
        result.Trials.Length,
        [.. result.NotTried.Select(fault => fault.Name)],
        new(result.Detectable.Length, result.Detected),
        [.. _items.Select(items => new IsolationEntry(items, result.BoundIsolated(items), result.Isolated(items)))],
        result.WithinBound,
        result.AsShown,
        result.AsBound,
        [.. result.Classes.Select(each => new ClassEntry(each.Detectable, each.Items, Names(each.Faults)))],
        [.. result.FellShort.Select(trial => new TrialEntry(trial.Fault.Name, trial.Seed, trial.Detected, Names(trial.Bound.Faults), [.. trial.Reported.Select(Names)], Names(trial.LeftOut)))],
        result.Healthy.Sweeps == 0 ? null : new(result.Healthy.Sweeps, result.Healthy.AlarmsAtMost, [.. result.Healthy.Alarms.Select(alarm => new AlarmEntry(alarm.Seed, alarm.Words))]),
        result.Pairs.IsEmpty ? null : [.. result.Pairs.Select(Entry)],
        result.Suggestions?.Select(one => new SuggestionEntry(one.Kind, one.Net, one.ToldApart, one.Detected)).ToImmutableArray());

    private static PairEntry Entry(PairTrial pair) => new(
        pair.First.Name, pair.Second.Name, pair.Seed, pair.Look, pair.Detected, pair.Found, pair.SaidAlike, pair.Visible is { } visible ? Names(visible.Faults) : null, [.. pair.Reported.Select(groups => groups.Select(Names).ToImmutableArray())]);

    private static ImmutableArray<string> Names(ImmutableArray<BoardFault> faults) => [.. faults.Select(fault => fault.Name)];

    private sealed record CampaignDocument(
        string Format, string Board, string Profile, ExerciseMode Mode, int Seed, long ResolutionPicoseconds, ImmutableArray<GoalEntry> Goals, int Tried, ImmutableArray<string> NotTried,
        DetectionEntry Detection, ImmutableArray<IsolationEntry> Isolation, int GroupsWithinBound, int GroupsAsShown, int GroupsAsBound, ImmutableArray<ClassEntry> Classes, ImmutableArray<TrialEntry> FellShort, HealthyEntry? Healthy,
        ImmutableArray<PairEntry>? Pairs, ImmutableArray<SuggestionEntry>? Suggestions);

    private sealed record GoalEntry(string Goal, double Share, bool Held);

    private sealed record DetectionEntry(int Bound, int Found);

    private sealed record IsolationEntry(int Items, int Bound, int Found);

    private sealed record ClassEntry(bool Detectable, int Items, ImmutableArray<string> Faults);

    private sealed record TrialEntry(string Fault, int Seed, bool Detected, ImmutableArray<string> Bound, ImmutableArray<ImmutableArray<string>> Reported, ImmutableArray<string> LeftOut);

    private sealed record HealthyEntry(int Sweeps, double AlarmsAtMost, ImmutableArray<AlarmEntry> Alarms);

    private sealed record AlarmEntry(int Seed, string Words);

    private sealed record PairEntry(
        string First, string Second, int Seed, PairLook Look, bool Detected, bool Found, bool SaidAlike, ImmutableArray<string>? Visible, ImmutableArray<ImmutableArray<ImmutableArray<string>>> Reported);

    private sealed record SuggestionEntry(AddedMeasurement Kind, string Net, int ToldApart, int Detected);
}
