using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Exercising;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>The record of a run for other programs, format testrig-run/1. Times are in picoseconds, as the keys say; voltages in volts.</summary>
public static class RunJson
{
    private const string Format = "testrig-run/1";

    /// <param name="plots">Paths of the pictures, relative to the run folder, by channel name.</param>
    /// <param name="record">What is on record of the board beside this; null for nothing.</param>
    public static string Write(SweepResult result, string profile, ImmutableDictionary<string, string> plots, BoardRecord? record = null) =>
        JsonSerializer.Serialize(Document(result, profile, plots, record), RecordJson.Options);

    /// <summary>The JSON Schema of it.</summary>
    public static string Schema() => RecordSchema.Write(typeof(RunDocument), Format, "The record of a sweep (run.json)");

    private static RunDocument Document(SweepResult result, string profile, ImmutableDictionary<string, string> plots, BoardRecord? record) => new(
        Format,
        result.Board.Name,
        profile,
        new(result.Adapter.Kind, result.Adapter.Place, result.Adapter.Board, result.Adapter.Firmware,
            result.Adapter.Tick.Picoseconds, result.Adapter.Resolution.Picoseconds,
            result.Adapter.IsRecording ? LimitsBy.Nobody : result.Adapter.IsHostTimed ? LimitsBy.Host : LimitsBy.Device),
        RecordJson.Instant(result.Started),
        result.Mode,
        result.Together,
        result.Repeats,
        EndingEntry.Of(result.Ending),
        result.Link is { } link ? new(link.DamagedFromAdapter, link.DamagedToAdapter, link.Overruns, link.Repeats) : null,
        [.. result.Checks.Select(check => new CheckEntry(check.Name, check.Good, check.Made, check.Words))],
        [.. result.Channels.Select(channel => new ChannelEntry(
            channel.Channel.Name,
            channel.Condition,
            channel.Summary,
            [.. channel.Findings.Select(Entry)],
            plots.GetValueOrDefault(channel.Channel.Name),
            Entry(channel.Capture?.HostTiming),
            channel.Outcomes.IsEmpty ? null : [.. channel.Outcomes.Select(outcome => new OutcomeEntry(outcome.Condition, outcome.Times))]))],
        [.. result.Diagnosis.Suspects.Select(suspect => new SuspectEntry(
            suspect.Group, suspect.Mode, suspect.Words, Math.Round(suspect.Belief, 4), suspect.Explains))],
        result.Diagnosis.NextProbe,
        [.. result.Diagnosis.Faults.Select(fault => fault.Advice)],
        result.Diagnosis.Unexplained,
        Entry(result.Spares),
        result.Diagnosis.InjectAt,
        record?.Serial,
        NoteEntry.Of(record));

    private static SparesEntry? Entry(Spares spares) => spares.IsEmpty
        ? null
        : new(
            [.. spares.Now.Select(need => new SpareNeedEntry([.. need.OneOf.Select(Entry)], need.Unless))],
            [.. spares.InReserve.Select(Entry)],
            [.. spares.Marginal.Select(part => new MarginalEntry(part.Part, part.Type, part.Words))]);

    private static SpareEntry Entry(Spare spare) => new(spare.Type, spare.Count, spare.Parts);

    private static HostTimingEntry? Entry(HostTiming? timing) => timing is null
        ? null
        : new(
            timing.Looks, timing.MeanWidth.Picoseconds, timing.LongestWidth.Picoseconds, timing.LateLooks,
            [.. timing.StepLateness.Select(late => late.Picoseconds)]);

    private static FindingEntry Entry(Finding finding) => new(
        finding.TestPoint,
        finding.Expected,
        finding.Verdict,
        finding.Timing,
        finding.Cause,
        finding.Delay?.Picoseconds,
        finding.Earliest?.Picoseconds,
        finding.Latest?.Picoseconds,
        finding.StandardUncertainty?.Picoseconds,
        finding.Bounces,
        finding.Pulses,
        Millivolts(finding.Level),
        finding.Words,
        finding.ExpandedUncertainty?.Picoseconds,
        finding.Pulse is { } pulse ? Entry(pulse, null) : null,
        finding.SettleTime?.Picoseconds,
        finding.Rate is { } rate ? new(rate.Value.Value, rate.StandardUncertainty.Value, rate.ExpandedUncertainty.Value) : null,
        finding.Reading is { } reading
            ? new(Millivolts(reading.Minimum)!.Value, Millivolts(reading.Maximum)!.Value, reading.Samples, Fine(reading.StandardUncertainty), Fine(reading.ExpandedUncertainty))
            : null,
        finding.SettledChanges,
        finding.TakenChanges,
        finding.Repeats is { } repeats ? Entry(repeats) : null);

    private static RepeatsEntry Entry(FindingRepeats repeats) => new(
        repeats.Number,
        repeats.Agreeing,
        repeats.MeanDelay is { } delay ? Entry(delay, repeats.DelaySpread) : null,
        repeats.Delays,
        repeats.MeanPulse is { } pulse ? Entry(pulse, repeats.PulseSpread) : null,
        Millivolts(repeats.MeanLevel),
        repeats.LevelSpread is { } spread ? Fine(spread) : null,
        repeats.MostBounces,
        repeats.Pulses?.Fewest,
        repeats.Pulses?.Most);

    private static DurationEntry Entry(MeasuredDelay duration, Duration? spread) => new(
        duration.Value.Picoseconds, duration.StandardUncertainty.Picoseconds, duration.ExpandedUncertainty.Picoseconds, spread?.Picoseconds);

    private static double? Millivolts(Volts? volts) => volts is { } known ? Math.Round(known.Value, 3) : null;

    private static double Fine(Volts volts) => Math.Round(volts.Value, 5);

    private sealed record RunDocument(
        string Format,
        string Board,
        string Profile,
        RunAdapterEntry Adapter,
        string Started,
        ExerciseMode Mode,
        bool Together,
        int Repeats,
        EndingEntry Ending,
        LinkEntry? Link,
        ImmutableArray<CheckEntry> Checks,
        ImmutableArray<ChannelEntry> Channels,
        ImmutableArray<SuspectEntry> Suspects,
        string? NextProbe,
        ImmutableArray<string> Advice,
        ImmutableArray<string> Unexplained,
        SparesEntry? Spares,
        string? InjectAt,
        string? Serial,
        ImmutableArray<NoteEntry>? Notes);

    private sealed record RunAdapterEntry(
        string Kind,
        string Place,
        string Board,
        string Firmware,
        [property: JsonPropertyName("tick_ps")] long TickPs,
        [property: JsonPropertyName("resolution_ps")] long ResolutionPs,
        LimitsBy LimitsEnforcedBy);

    /// <summary>A host's enforcement is the weaker one.</summary>
    private enum LimitsBy
    {
        Device,
        Host,

        /// <summary>Nothing was driven: another instrument recorded it.</summary>
        Nobody,
    }

    private sealed record HostTimingEntry(
        int Looks,
        [property: JsonPropertyName("meanWidth_ps")] long MeanWidthPs,
        [property: JsonPropertyName("longestWidth_ps")] long LongestWidthPs,
        int LateLooks,
        [property: JsonPropertyName("stepLateness_ps")] ImmutableArray<long> StepLatenessPs);

    private sealed record LinkEntry(long DamagedFromAdapter, long? DamagedToAdapter, long? Overruns, long Repeats);

    private sealed record CheckEntry(string Name, bool Good, bool Made, string Words);

    private sealed record ChannelEntry(
        string Name, Condition Condition, string Summary, ImmutableArray<FindingEntry> Findings, string? Plot, HostTimingEntry? HostTiming,
        ImmutableArray<OutcomeEntry>? Outcomes);

    /// <summary>In how many repeats a channel had this condition.</summary>
    private sealed record OutcomeEntry(Condition Condition, int Times);

    private sealed record FindingEntry(
        string TestPoint,
        Expectation Expected,
        Verdict Verdict,
        Timing? Timing,
        string? Cause,
        [property: JsonPropertyName("delay_ps")] long? DelayPs,
        [property: JsonPropertyName("earliest_ps")] long? EarliestPs,
        [property: JsonPropertyName("latest_ps")] long? LatestPs,
        [property: JsonPropertyName("uncertainty_ps")] long? UncertaintyPs,
        int Bounces,
        int? Pulses,
        [property: JsonPropertyName("level_v")] double? LevelV,
        string Words,
        [property: JsonPropertyName("expanded_ps")] long? ExpandedPs,
        DurationEntry? Pulse,
        [property: JsonPropertyName("settle_ps")] long? SettlePs,
        RateEntry? Rate,
        LevelEntry? Reading,
        int? Changes,
        int? ChangesTaken,
        RepeatsEntry? Repeats);

    /// <summary>With standard uncertainty, half-width of the 95 % interval, and, of repeats, experimental standard deviation.</summary>
    private sealed record DurationEntry(
        [property: JsonPropertyName("value_ps")] long ValuePs,
        [property: JsonPropertyName("uncertainty_ps")] long UncertaintyPs,
        [property: JsonPropertyName("expanded_ps")] long ExpandedPs,
        [property: JsonPropertyName("spread_ps")] long? SpreadPs);

    private sealed record RateEntry(
        [property: JsonPropertyName("value_hz")] double ValueHz,
        [property: JsonPropertyName("uncertainty_hz")] double UncertaintyHz,
        [property: JsonPropertyName("expanded_hz")] double ExpandedHz);

    private sealed record LevelEntry(
        [property: JsonPropertyName("minimum_v")] double MinimumV,
        [property: JsonPropertyName("maximum_v")] double MaximumV,
        int Samples,
        [property: JsonPropertyName("uncertainty_v")] double UncertaintyV,
        [property: JsonPropertyName("expanded_v")] double ExpandedV);

    private sealed record RepeatsEntry(
        int Number,
        int Agreeing,
        DurationEntry? Delay,
        int Delays,
        DurationEntry? Pulse,
        [property: JsonPropertyName("level_v")] double? LevelV,
        [property: JsonPropertyName("levelSpread_v")] double? LevelSpreadV,
        int MostBounces,
        int? FewestPulses,
        int? MostPulses);

    private sealed record SuspectEntry(ImmutableArray<string> Group, FaultMode Mode, string Words, double Belief, ImmutableArray<string> Explains);

    /// <summary>What is to be replaced now; what to order of the same types for parts that are near a limit; which those are.</summary>
    private sealed record SparesEntry(ImmutableArray<SpareNeedEntry> Now, ImmutableArray<SpareEntry> InReserve, ImmutableArray<MarginalEntry> Marginal);

    private sealed record SpareNeedEntry(ImmutableArray<SpareEntry> OneOf, ImmutableArray<string> Unless);

    private sealed record SpareEntry(string Type, int Count, ImmutableArray<string> Parts);

    private sealed record MarginalEntry(string Part, string Type, string Words);
}
