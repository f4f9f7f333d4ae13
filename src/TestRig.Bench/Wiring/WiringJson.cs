using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Wiring;

/// <summary>The clip list for other programs, format testrig-wiring/1. Resistances in ohms and voltages in volts, as the keys say.</summary>
public static class WiringJson
{
    /// <param name="profile">The profile's path as the user wrote it.</param>
    /// <param name="adapter">Who checked the leads; null when nobody did.</param>
    /// <param name="check">What was found; null when nobody looked.</param>
    public static string Write(WiringPlan plan, string profile, AdapterIdentity? adapter, LeadCheckResult? check) => JsonSerializer.Serialize(
        new Document(
            "testrig-wiring/1", plan.Board.Name, profile, plan.Before, [.. plan.Grounds.Select(ground => new GroundEntry(ground.To, ground.Because))],
            [.. plan.Groups.SelectMany(group => group.Leads.Select(lead => Entry(group, lead, check?.Leads.GetValueOrDefault(lead.Point))))],
            plan.After, plan.Off,
            adapter is null ? null : AdapterEntry.Of(adapter),
            check is null ? null : [.. check.Checks.Select(done => new CheckEntry(done.Name, done.Good, done.Words))],
            check?.Pulses is not { } pulses ? null : new([.. pulses.Verdicts.Select(verdict => new VerdictEntry(verdict.Blame, verdict.Words, verdict.Points))], pulses.Alike),
            check is null ? null : EndingEntry.Of(check.Ending)),
        RecordJson.Options);

    private static LeadEntry Entry(LeadGroup group, Lead lead, LeadFound? found) => new(
        lead.Number, group.Title, lead.Use, lead.AdapterPin, lead.Point, lead.Series?.Value, lead.Divider?.Upper.Value, lead.Divider?.Lower.Value,
        lead.Divider?.Tolerance, lead.Ground, lead.HighestAtPin is { } highest ? Math.Round(highest.Value, 4) : null,
        lead.Remark.Length > 0 ? lead.Remark : null, found is null ? null : new(found.State, found.Words));

    private sealed record Document(
        string Format,
        string Board,
        string Profile,
        ImmutableArray<string> Before,
        ImmutableArray<GroundEntry> Grounds,
        ImmutableArray<LeadEntry> Leads,
        ImmutableArray<string> After,
        ImmutableArray<string> Off,
        AdapterEntry? Adapter,
        ImmutableArray<CheckEntry>? Checks,
        PulsesEntry? Pulses,
        EndingEntry? Ending);

    private sealed record GroundEntry(string To, string? BridgedBecause);

    private sealed record LeadEntry(
        int Number,
        string Group,
        LeadUse Use,
        string AdapterPin,
        string TestPoint,
        [property: JsonPropertyName("series_ohm")] double? SeriesOhm,
        [property: JsonPropertyName("upper_ohm")] double? UpperOhm,
        [property: JsonPropertyName("lower_ohm")] double? LowerOhm,
        double? Tolerance,
        string? Ground,
        [property: JsonPropertyName("highest_at_pin_v")] double? HighestAtPinV,
        string? Remark,
        FoundEntry? Found);

    private sealed record FoundEntry(FoundState State, string Words);

    private sealed record CheckEntry(string Name, bool Good, string Words);

    private sealed record PulsesEntry(ImmutableArray<VerdictEntry> Verdicts, ImmutableArray<ImmutableArray<string>> Alike);

    private sealed record VerdictEntry(LeadBlame Blame, string Words, ImmutableArray<string> TestPoints);
}
