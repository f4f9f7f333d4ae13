using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>The words that every screen, picture and report uses for the same thing.</summary>
public static class Words
{
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

    /// <summary>Who measured: "ATmega2560 at /dev/ttyACM0, firmware 1.0".</summary>
    public static string Adapter(AdapterIdentity adapter) => $"{adapter.Board} at {adapter.Place}, firmware {adapter.Firmware}";

    /// <summary>What goes in front of every result of a bench that does not exist; empty for a real one.</summary>
    public static string Simulated(AdapterIdentity adapter) => adapter.IsSimulated ? "SIMULATED, no board was tested: " : "";

    public static string Of(ExerciseMode mode) => mode == ExerciseMode.Motion ? "with motion" : "logic only";

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

    private static string Count(long count, string thing) => string.Create(CultureInfo.InvariantCulture, $"{count} {thing}{(count == 1 ? "" : "s")}");

    /// <summary>The one line that ends a sweep.</summary>
    public static string Verdict(SweepResult result)
    {
        var working = result.Channels.Count(channel => channel.Condition == Condition.Working);
        var untested = result.Channels.Count(channel => channel.Condition == Condition.NotTested);
        var faulty = result.Channels.Length - working - untested;
        var parts = new List<string> { $"{working} of {result.Channels.Length} channels working" };
        if (faulty > 0)
            parts.Add($"{faulty} faulty");
        if (untested > 0)
            parts.Add($"{untested} not tested");
        return $"{Simulated(result.Adapter)}{string.Join(", ", parts)}.";
    }
}
