using System.Globalization;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Soaking;

/// <summary>What a soak found, in the words of every screen and report.</summary>
public static class SoakWords
{
    /// <summary>Chance alone makes such a clustering in less than one of 20 runs.</summary>
    private const double SignificantClustering = 1 - SoakConfidence.Share;

    /// <summary>"5 of 6 channels never failed in 14 400 cycles; shutter-open failed in 14."</summary>
    public static string Verdict(SoakFindings findings)
    {
        var tally = findings.Tally;
        var simulated = Words.Simulated(findings.Adapter);
        if (tally.Cycles == 0)
            return $"{simulated}no cycle was finished: nothing is known.";
        var cycles = $"in {Cycles(tally.Cycles)}";
        var failing = tally.Channels.Where(channel => channel.Failures > 0).ToList();
        var untested = tally.Channels.Count(channel => channel.Judged == 0);
        var good = tally.Channels.Length - failing.Count - untested;
        var parts = new List<string> { failing.Count == 0 && untested == 0 ? $"{(good == 1 ? "the only channel" : $"all {good} channels")} worked {cycles}" : $"{good} of {Words.Count(tally.Channels.Length, "channel")} never failed {cycles}" };
        parts.AddRange(failing.Select(channel => $"{channel.Channel} failed in {Number(channel.Failures)}"));
        if (untested > 0)
            parts.Add($"{untested} never tested");
        if (tally.Checks.Failures > 0)
            parts.Add($"a check was not good in {Number(tally.Checks.Failures)}");
        return $"{simulated}{string.Join("; ", parts)}.";
    }

    /// <summary>How the board was exercised.</summary>
    public static string Mode(SoakFindings findings) => findings.WatchIdle ? "lines idle, watched for what changes by itself" : Words.Of(findings.Board, findings.Run.Mode);

    /// <summary>How a channel that failed did so.</summary>
    public static string Of(ChannelTally channel)
    {
        var (lower, upper) = channel.FailureShare!.Value;
        var kinds = string.Join(", ", channel.Conditions.OrderByDescending(entry => entry.Value).Select(entry => channel.Conditions.Count == 1 ? Words.Of(entry.Key) : $"{Words.Of(entry.Key)} in {Number(entry.Value)}"));
        var often = $"{(channel.IsIntermittent ? "intermittent" : "always")}: {kinds} in {Number(channel.Failures)} of {Cycles(channel.Judged)}; with 95 % confidence {Percent(lower)} to {Percent(upper)} of cycles fail (Clopper and Pearson)";
        var when = channel.Failures == 1 ? $"In cycle {Number(channel.FirstFailure!.Value)}." : $"First in cycle {Number(channel.FirstFailure!.Value)}, last in cycle {Number(channel.LastFailure!.Value)}.";
        return $"{often}. {when}{Pattern(channel)}{ByHour(channel)} {channel.FirstWords}";
    }

    /// <summary>The same as a sentence of its own, of any channel.</summary>
    public static string Sentence(ChannelTally channel) => Words.Capitalised(channel.Failures > 0 ? Of(channel) : OfGood(channel));

    /// <summary>How a channel that never failed did.</summary>
    public static string OfGood(ChannelTally channel) => channel.Judged == 0
        ? $"Not tested in any of {Cycles(channel.NotTested)}."
        : $"Worked in {(channel.NotTested == 0 ? "all " : "")}{Cycles(channel.Judged)}{(channel.NotTested == 0 ? "" : $", not tested in {Number(channel.NotTested)} more")}; with 95 % confidence at most {Percent(ExactShare.AtMost(0, channel.Judged, SoakConfidence.Share))} of cycles fail (Clopper and Pearson).";

    /// <param name="checks">Of which some were not good.</param>
    public static string OfChecks(ChannelTally checks) => $"Not good in {Cycles(checks.Failures)}, first in cycle {Number(checks.FirstFailure!.Value)}: {checks.FirstWords}";

    /// <summary>"shutter-open dead, in 14 cycles, first in cycle 803".</summary>
    public static string Of(FailurePattern pattern) => $"{pattern.Words}, in {Cycles(pattern.Times)}, first in cycle {Number(pattern.First)}";

    /// <summary>What to look at before a part is replaced for a fault that comes and goes; null of one that was there in every cycle.</summary>
    public static string? BeforeReplacing(FailurePattern pattern, SoakTally tally) => pattern.Times == tally.Cycles
        ? null
        : "It comes and goes. Before a part is replaced, look at its socket, its solder joints and the connectors on its way, and tap, warm and cool it while this goes on (common practice).";

    /// <summary>Of a pattern.</summary>
    public const string NotExplained = "Not explained: no captures of it were kept, or more failed in other ways before it.";

    public static string Others(SoakFindings findings) => $"In {Cycles(findings.OtherFailures)} more, something failed in yet other ways: too many to tell apart here.";

    /// <summary>How a session ended, for a technician.</summary>
    public static string EndOf(StoredSession session) => session switch
    {
        { Ended: null } => "ended by nobody: a crash, a power cut, or it still runs",
        { Words: { Length: > 0 } words } => words,
        _ => "as it was to end",
    };

    /// <summary>What a figure may be: "up to 30 µs", "at least 2.000 V"; empty where nothing says.</summary>
    public static string Permitted(SeriesTally series) => Permitted(series.Lowest, series.Highest, series.Key.Kind);

    /// <inheritdoc cref="Permitted(SeriesTally)"/>
    internal static string Permitted(long? least, long? most, FigureKind kind) => (least, most) switch
    {
        (null, null) => "",
        (null or <= 0, { } highest) => $"up to {Value(kind, highest)}",
        ({ } lowest, null) => $"at least {Value(kind, lowest)}",
        ({ } lowest, { } highest) => $"{Value(kind, lowest)} to {Value(kind, highest)}",
    };

    /// <summary>"0"; of a channel that failed "9" and below it the share of cycles that fail, with 95 % confidence: "0.27 % to 1.14 %".</summary>
    public static string Failing(ChannelTally channel) => channel is { Failures: > 0, FailureShare: var (lower, upper) } ? $"{Number(channel.Failures)}\n{Percent(lower)} to {Percent(upper)}" : "0";

    /// <summary>What the cycles so far prove of a channel that never failed, in a line.</summary>
    public static string ProofSoFar(SoakTally tally)
    {
        var least = LeastWithoutFailure(tally);
        return least == 0 ? "" : $"Of a channel that never failed at most {Percent(ExactShare.AtMost(0, least, SoakConfidence.Share))} of cycles fail (95 %).";
    }

    /// <summary>What a run without a failure proves of a channel, and how long it runs without one.</summary>
    public static string Proof(SoakTally tally)
    {
        var least = LeastWithoutFailure(tally);
        if (least == 0)
            return "No channel is proved good.";
        var share = ExactShare.AtMost(0, least, SoakConfidence.Share);
        var hours = MeanTimeBetweenFailures.AtLeast(0, Math.Max(tally.Exercised.TotalHours, 1e-9), SoakConfidence.Share);
        return $"Of a channel that never failed at most {Percent(share)} of cycles fail, with 95 % confidence (none in {Number(least)}: success run, rule of three). At a constant rate its mean time between failures is at least {Hours(hours)} of such exercise. To show 99.9 % of cycles good takes {Number(SuccessRun.NumberNeeded(0.999, SoakConfidence.Share))} without a failure.";
    }

    /// <summary>The fewest cycles in which a channel that never failed was judged; 0 where there is none.</summary>
    private static long LeastWithoutFailure(SoakTally tally) => tally.Channels.Where(channel => channel is { Failures: 0, Judged: > 0 }).Select(channel => channel.Judged).DefaultIfEmpty(0).Min();

    /// <summary>Where a figure goes, how sure that is, and when it comes to its limit.</summary>
    public static string Of(Drift drift, double hoursSoFar)
    {
        var (series, trend) = (drift.Series, drift.Trend);
        var kind = series.Key.Kind;
        var begin = trend.Line.Intercept;
        var end = trend.Line.Intercept + (trend.Line.Slope * hoursSoFar);
        var change = $"{Name(series.Key)} went from {Value(kind, begin)} to {Value(kind, end)}: {Signed(kind, trend.Line.Slope)} an hour ({Signed(kind, trend.SlopeAtLeast)} to {Signed(kind, trend.SlopeAtMost)}, 95 %; Theil and Sen; p {Probability(trend.Test.Probability)}, Mann and Kendall)";
        if (drift.Crossing is not { } crossing)
            return $"{change}.";
        var limit = Value(kind, drift.CrossesUpper ? series.Highest!.Value : series.Lowest!.Value);
        return crossing.At <= hoursSoFar
            ? $"{change}. It is beyond its limit of {limit}."
            : $"{change}. If it goes on so, it crosses its limit of {limit} in {Hours(crossing.At - hoursSoFar)}, at the earliest in {Hours(Math.Max(0, crossing.Earliest - hoursSoFar))}.";
    }

    /// <summary>"+0.12 µs an hour".</summary>
    public static string Rate(Drift drift) => $"{Signed(drift.Series.Key.Kind, drift.Trend.Line.Slope)} an hour";

    /// <summary>"shutter-open OK3.5 falls: delay".</summary>
    public static string Name(FigureKey key) => $"{key.Channel} {NameInChannel(key)}";

    /// <summary>"OK3.5, delay of its fall".</summary>
    public static string NameInChannel(FigureKey key) => $"{key.TestPoint}, {Expected(key)}";

    /// <summary>A figure with its unit.</summary>
    public static string Value(FigureKind kind, double value) => kind switch
    {
        FigureKind.Delay or FigureKind.SettleTime => new Duration((long)value).ToString(),
        FigureKind.Level => string.Create(CultureInfo.InvariantCulture, $"{value / 1e6:0.000} V"),
        FigureKind.Pulses => string.Create(CultureInfo.InvariantCulture, $"{value:0.##} pulses"),
        FigureKind.Rate => new Hertz(value / 1e6).ToString(),
        FigureKind.Bounces => string.Create(CultureInfo.InvariantCulture, $"{value:0.##} bounces"),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "Unknown figure."),
    };

    /// <summary>"1 cycle", "14 400 cycles".</summary>
    public static string Cycles(long number) => $"{Number(number)} cycle{(number == 1 ? "" : "s")}";

    public static string Number(long number) => number.ToString("#,0", CultureInfo.InvariantCulture).Replace(',', ' ');

    /// <summary>"25 min", "8.5 h", "12 days".</summary>
    public static string Hours(double hours) => hours switch
    {
        < 1.0 / 60 => string.Create(CultureInfo.InvariantCulture, $"{hours * 3600:0} s"),
        < 2 => string.Create(CultureInfo.InvariantCulture, $"{hours * 60:0} min"),
        < 72 => string.Create(CultureInfo.InvariantCulture, $"{hours:0.#} h"),
        < 24 * 730 => string.Create(CultureInfo.InvariantCulture, $"{hours / 24:0} days"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{hours / 24 / 365.25:0} years"),
    };

    /// <summary>"12 MB".</summary>
    public static string Bytes(long bytes) => bytes < 1_000_000
        ? string.Create(CultureInfo.InvariantCulture, $"{(bytes + 999) / 1000} kB")
        : string.Create(CultureInfo.InvariantCulture, $"{bytes / 1e6:0.#} MB");

    private static string Expected(FigureKey key) => (key.Kind, key.Expected) switch
    {
        (FigureKind.Delay, Expectation.Rises) => "delay of its rise",
        (FigureKind.Delay, _) => "delay of its fall",
        (FigureKind.SettleTime, Expectation.Rises) => "settling time of its rise",
        (FigureKind.SettleTime, Expectation.Falls) => "settling time of its fall",
        (FigureKind.SettleTime, _) => "settling time",
        (FigureKind.Bounces, Expectation.Rises) => "bounces of its rise",
        (FigureKind.Bounces, Expectation.Falls) => "bounces of its fall",
        (FigureKind.Bounces, _) => "bounces",
        (FigureKind.Level, Expectation.HighLevel) => "its high level",
        (FigureKind.Level, _) => "its low level",
        (FigureKind.Pulses, _) => "pulses",
        (FigureKind.Rate, _) => "pulse rate",
        _ => throw new ArgumentOutOfRangeException(nameof(key), key.Kind, "Unknown figure."),
    };

    private static string Pattern(ChannelTally channel) => channel.Clustering is { } trend && trend.Probability < SignificantClustering
        ? string.Create(CultureInfo.InvariantCulture, $" Its failures come {(trend.Deviate > 0 ? "closer together as the run goes on: it gets worse" : "farther apart as the run goes on: it comes from being cold, or ran itself in")} (Laplace U {trend.Deviate:0.0}, p {Probability(trend.Probability)}).")
        : "";

    /// <summary>The hour in which failures gather: one of 24 holds more than half of them and at most a quarter of the cycles, and it is no handful.</summary>
    private static string ByHour(ChannelTally channel)
    {
        var most = channel.FailuresByHour.Max();
        var hour = channel.FailuresByHour.IndexOf(most);
        if (channel.Failures < 6 || most * 2 <= channel.Failures || channel.JudgedByHour[hour] * 4 > channel.Judged)
            return "";
        return string.Create(CultureInfo.InvariantCulture, $" {Number(most)} of them between {hour:00}:00 and {(hour + 1) % 24:00}:00.");
    }

    /// <summary>With its sign and unit; "?" where it has no end.</summary>
    internal static string Signed(FigureKind kind, double value) => double.IsInfinity(value) ? "?" : $"{(value < 0 ? "−" : "+")}{Value(kind, Math.Abs(value))}";

    /// <summary>A share of cycles.</summary>
    internal static string Percent(double share) => share switch
    {
        0 => "0 %",
        < 0.001 => string.Create(CultureInfo.InvariantCulture, $"{share * 100:0.####} %"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{share * 100:0.##} %"),
    };

    /// <summary>"0.012", "below 0.001".</summary>
    internal static string Probability(double p) => p < 0.001 ? "below 0.001" : string.Create(CultureInfo.InvariantCulture, $"{p:0.000}");
}
