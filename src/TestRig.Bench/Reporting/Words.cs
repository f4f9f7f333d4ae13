using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>The words that every screen, picture and report uses for the same thing.</summary>
public static class Words
{
    /// <summary>Items beside the first of an ambiguity group that a person reads; the record has them all.</summary>
    private const int MostNamed = 5;

    /// <summary>"stuck high", "lead open", …</summary>
    public static string Of(Condition condition) => condition switch
    {
        Condition.Working => "working",
        Condition.Dead => "dead",
        Condition.StuckHigh => "stuck high",
        Condition.StuckLow => "stuck low",
        Condition.Slow => "slow",
        Condition.Weak => "weak",
        Condition.Bouncing => "bouncing",
        Condition.Inverted => "inverted",
        Condition.Crossed => "crossed",
        Condition.Intermittent => "intermittent",
        Condition.LeadOpen => "lead open",
        Condition.NotTested => "not tested",
        _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "Unknown condition."),
    };

    /// <summary>"2026-03-12 18:40".</summary>
    public static string At(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);

    /// <summary>As a sentence, or a heading, begins.</summary>
    public static string Capitalised(string words) => char.ToUpperInvariant(words[0]) + words[1..];

    /// <summary>Who measured: "ATmega2560 at /dev/ttyACM0, firmware 1.0".</summary>
    public static string Adapter(AdapterIdentity adapter) => adapter.IsRecording
        ? $"recording {adapter.Place}{(adapter.Firmware.Length > 0 ? $", written by {adapter.Firmware}" : "")}"
        : $"{adapter.Board} at {adapter.Place}, firmware {adapter.Firmware}";

    /// <summary>What goes in front of every result of a bench that does not exist; empty for a real one.</summary>
    public static string Simulated(AdapterIdentity adapter) => adapter.IsSimulated ? "SIMULATED, no board was tested: " : "";

    public static string Of(ExerciseMode mode) => mode == ExerciseMode.Motion ? "with motion" : "logic only";

    /// <summary>How a board was exercised.</summary>
    public static string Of(Board board, ExerciseMode mode) => board.Moves ? Of(mode) : "logic only, nothing on this board moves";

    /// <summary>"complete", "stopped for safety", …</summary>
    public static string Of(SweepOutcome outcome) => outcome switch
    {
        SweepOutcome.Complete => "complete",
        SweepOutcome.NotReady => "not ready",
        SweepOutcome.Cancelled => "cancelled",
        SweepOutcome.AdapterFailed => "adapter failed",
        SweepOutcome.StoppedForSafety => "stopped for safety",
        _ => throw new ArgumentOutOfRangeException(nameof(outcome), outcome, "Unknown outcome."),
    };

    /// <summary>"good", "NOT GOOD", or "not checked" where there was no means or nothing to look at.</summary>
    public static string Of(CheckDone check) => !check.Good ? "NOT GOOD" : check.Made ? "good" : "not checked";

    /// <summary>"in rotate-left, flap-raise", or where no channel was judged.</summary>
    public static string Where(Fault fault) => fault.Channels.IsEmpty ? "seen beside the channels" : $"in {string.Join(", ", fault.Channels)}";

    /// <summary>"OK3: never conducts (or, as far as was seen: Q3)": its words are those of the first.</summary>
    public static string Of(Suspect suspect)
    {
        var others = suspect.Group.Skip(1).ToList();
        if (others.Count == 0)
            return $"{suspect.Group[0]}: {suspect.Words}";
        var more = others.Count > MostNamed ? string.Create(CultureInfo.InvariantCulture, $" and {others.Count - MostNamed} more") : "";
        return $"{suspect.Group[0]}: {suspect.Words} (or, as far as was seen: {string.Join(", ", others.Take(MostNamed))}{more})";
    }

    /// <summary>A share of belief in whole percent, three characters wide; never 100 % of something uncertain.</summary>
    public static string Percent(double belief) =>
        Math.Min(99, Math.Round(belief * 100)).ToString("0", CultureInfo.InvariantCulture).PadLeft(2) + " %";

    /// <summary>What a technician should know of the link; null when nothing went wrong on it.</summary>
    /// <param name="ending">Whether all that was damaged could be made good.</param>
    public static string? Of(LinkHealth? link, SweepEnding ending)
    {
        if (link is null or { IsClean: true })
            return null;
        var lost = new List<string>();
        if (link.Damaged > 0)
            lost.Add($"{Count(link.Damaged, "damaged frame")} ({link.DamagedFromAdapter} from the adapter, {(link.DamagedToAdapter is { } to ? $"{to} to it" : "those to it unknown")})");
        if (link.Overruns > 0)
            lost.Add($"{Count(link.Overruns.Value, "byte")} too fast for the adapter");
        if (lost.Count == 0)
            lost.Add("answers that did not come");
        var repeated = ending.Outcome == SweepOutcome.AdapterFailed
            ? $"{Count(link.Repeats, "request")} sent again, and then it failed"
            : link.Repeats > 0 ? $"all made good by {Count(link.Repeats, "request")} sent again" : "nothing had to be sent again";
        return $"{string.Join(", ", lost)}; {repeated}. Nothing damaged was used. The link is disturbed: {LinkHealth.Remedy}";
    }

    /// <summary>"1 channel", "3 channels".</summary>
    public static string Count(long count, string thing) => string.Create(CultureInfo.InvariantCulture, $"{count} {thing}{(count == 1 ? "" : "s")}");

    /// <summary>"all 6 working", or "5 working, retract-door dead".</summary>
    public static string Conditions(ImmutableArray<ChannelResult> results)
    {
        var working = results.Count(result => result.Condition == Condition.Working);
        return working == results.Length
            ? $"all {working} working"
            : string.Join(", ", results.Where(result => result.Condition != Condition.Working).Select(result => $"{result.Channel.Name} {Of(result.Condition)}").Prepend($"{working} working"));
    }

    /// <summary>What repeats showed of a channel: "working in 18 of 20 repeats, dead in 2"; null where there was one exercise.</summary>
    public static string? Outcomes(ChannelResult result)
    {
        if (result.Outcomes.IsEmpty)
            return null;
        var all = result.Outcomes.Sum(outcome => outcome.Times);
        return string.Join(", ", result.Outcomes.OrderByDescending(outcome => outcome.Times)
            .Select((outcome, index) => string.Create(CultureInfo.InvariantCulture, $"{Of(outcome.Condition)} in {outcome.Times}{(index == 0 ? $" of {all} repeats" : "")}")));
    }

    /// <summary>Of repeats: each delay that is resolved, with its mean, how well that is known, its spread and its number.</summary>
    public static IEnumerable<string> MeanDelays(ChannelResult result) => result.Findings
        .Where(finding => finding is { Timing: Timing.Conforms or Timing.Violates, Repeats: { MeanDelay: not null, DelaySpread: not null } })
        .Select(finding => string.Create(
            CultureInfo.InvariantCulture,
            $"{finding.TestPoint} {(finding.Expected == Expectation.Rises ? "rises" : "falls")} {finding.Repeats!.MeanDelay!.Value} ± {finding.Repeats.MeanDelay.ExpandedUncertainty} after {finding.Cause}, spread {finding.Repeats.DelaySpread}, {finding.Repeats.Delays} times"));

    /// <summary>
    /// What was measured beside the delay, in sentences: how long a pulse lasted, how far samples of a voltage lay apart, what repeats showed. Empty where there is nothing more.
    /// </summary>
    public static string Measured(Finding finding)
    {
        var told = new List<string>();
        var repeats = finding.Repeats;
        if (repeats is { Delays: > 1, DelaySpread: { } varies })
            told.Add(string.Create(CultureInfo.InvariantCulture, $"Delay: mean of {repeats.Delays}, spread {varies}."));
        if ((repeats?.MeanPulse ?? finding.Pulse) is { } pulse)
            told.Add($"The pulse that ends here lasted {pulse.Value} ± {pulse.ExpandedUncertainty}{(repeats?.PulseSpread is { } pulseVaries ? $", spread {pulseVaries}" : "")}.");
        if (finding.Rate is { } rate)
            told.Add($"Rate {rate.Value} ± {rate.ExpandedUncertainty}.");
        if (finding.Reading is { } reading)
        {
            var samples = $"{reading.Mean} ± {reading.ExpandedUncertainty}; {reading.Samples} samples from {reading.Minimum} to {reading.Maximum}.";
            told.Add(repeats is { MeanLevel: { } mean, LevelSpread: { } levelVaries } ? $"Mean of repeats {mean}, spread {levelVaries}. One of them: {samples}" : samples);
        }
        if (repeats is { Pulses: var (fewest, most) } && fewest != most)
            told.Add(string.Create(CultureInfo.InvariantCulture, $"{fewest} to {most} pulses in the repeats."));
        if (repeats is not null && repeats.MostBounces > finding.Bounces)
            told.Add(string.Create(CultureInfo.InvariantCulture, $"At most {repeats.MostBounces} bounces in a repeat."));
        if (repeats is not null && repeats.Agreeing < repeats.Number)
            told.Add(string.Create(CultureInfo.InvariantCulture, $"So in {repeats.Agreeing} of {repeats.Number}."));
        return string.Join(" ", told);
    }

    /// <summary>The one line that ends a sweep.</summary>
    public static string Verdict(SweepResult result)
    {
        var working = result.Channels.Count(channel => channel.Condition == Condition.Working);
        var untested = result.Channels.Count(channel => channel.Condition == Condition.NotTested);
        var faulty = result.Channels.Length - working - untested;
        var parts = new List<string> { $"{working} of {Count(result.Channels.Length, "channel")} working" };
        if (faulty > 0)
            parts.Add($"{faulty} faulty");
        if (untested > 0)
            parts.Add($"{untested} not tested");
        return $"{Simulated(result.Adapter)}{string.Join(", ", parts)}.";
    }
}
