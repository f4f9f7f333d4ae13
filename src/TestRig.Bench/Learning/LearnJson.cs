using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Learning;

/// <summary>What was learned, for other programs, format testrig-learn/1. Times are in picoseconds, as the keys say.</summary>
public static class LearnJson
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="learned">None where the sweep did not come to its end.</param>
    /// <param name="proposal">Null where nothing is proposed, because a channel was refused or the sweep ended early.</param>
    /// <param name="written">Where the new profile was written; null where nothing was.</param>
    public static string Write(SweepResult sweep, string profile, ToleranceAim aim, ImmutableArray<LearnedChannel> learned, WindowProposal? proposal, string? written) => JsonSerializer.Serialize(
        new Document(
            "testrig-learn/1", sweep.Board.Name, profile, sweep.Mode, AdapterEntry.Of(sweep.Adapter),
            sweep.Repeats, aim.Coverage, aim.Confidence, EndingEntry.Of(sweep.Ending),
            [.. learned.Select(Entry)], proposal?.Difference, written),
        RecordJson.Options);

    private static ChannelEntry Entry(LearnedChannel channel) => new(
        channel.Channel.Name, channel.From.Name, channel.Refusal,
        [.. channel.Windows.Select(window => new WindowEntry(
            window.Stage.OutputName, window.Output == Level.High ? Expectation.Rises : Expectation.Falls, window.Earliest.Picoseconds, window.Latest.Picoseconds,
            window.Present.Earliest.Picoseconds, window.Present.Latest.Picoseconds, window.IsWiderSomewhere, Entry(window.Limits), window.Uncertainty.Picoseconds))],
        [.. channel.Contacts.Select(contact => new ContactEntry(
            contact.Feedback.Point.Name, contact.Bounces, contact.SettlesWithin?.Picoseconds, contact.Feedback.BouncesMaximum, contact.Feedback.SettlesWithin.Picoseconds,
            Entry(contact.Limits), contact.Uncertainty.Picoseconds))],
        [.. channel.NotLearned.Select(kept => new KeptEntry(kept.What, kept.Reason))]);

    private static LimitsEntry Entry(ToleranceLimits limits) => new(limits.Method, limits.Number, limits.Factor is { } factor ? Math.Round(factor, 4) : null, limits.NumberNeeded);

    private sealed record Document(
        string Format, string Board, string Profile, ExerciseMode Mode, AdapterEntry Adapter, int Repeats, double Coverage, double Confidence, EndingEntry Ending,
        ImmutableArray<ChannelEntry> Channels, string? Difference, string? Written);

    /// <param name="Name">Whose windows they are to be.</param>
    /// <param name="From">The channel that was measured.</param>
    private sealed record ChannelEntry(string Name, string From, string? Refusal, ImmutableArray<WindowEntry> Windows, ImmutableArray<ContactEntry> Contacts, ImmutableArray<KeptEntry> Kept);

    private sealed record WindowEntry(
        string TestPoint, Expectation Expected, [property: JsonPropertyName("earliest_ps")] long EarliestPs, [property: JsonPropertyName("latest_ps")] long LatestPs,
        [property: JsonPropertyName("presentEarliest_ps")] long PresentEarliestPs, [property: JsonPropertyName("presentLatest_ps")] long PresentLatestPs, bool Wider, LimitsEntry Limits,
        [property: JsonPropertyName("uncertainty_ps")] long UncertaintyPs);

    private sealed record ContactEntry(
        string TestPoint, int? Bounces, [property: JsonPropertyName("settlesWithin_ps")] long? SettlesWithinPs, int PresentBounces, [property: JsonPropertyName("presentSettlesWithin_ps")] long PresentSettlesWithinPs,
        LimitsEntry Limits, [property: JsonPropertyName("uncertainty_ps")] long UncertaintyPs);

    private sealed record LimitsEntry(ToleranceMethod Method, int Number, double? Factor, int? NumberNeeded);

    private sealed record KeptEntry(string What, string Because);
}
