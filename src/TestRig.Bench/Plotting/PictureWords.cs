using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>The phrases of a picture. Short, because they stand beside or inside a trace; the finding's own sentence is longer.</summary>
internal static class PictureWords
{
    public static bool IsTransition(this Finding finding) => finding.Expected is Expectation.Rises or Expectation.Falls;

    /// <summary>What happened, as the end of a sentence that starts with the point's name.</summary>
    public static string Short(Finding finding) => finding switch
    {
        { Verdict: Verdict.NotTested } => $"{Subject(finding)}: not tested",
        { Verdict: Verdict.NotResolved } => $"{Subject(finding)}: the adapter cannot tell",
        { Verdict: Verdict.Absent, Expected: Expectation.Rises } => "does not rise",
        { Verdict: Verdict.Absent, Expected: Expectation.Falls } => "does not fall",
        { Verdict: Verdict.WrongWay, Expected: Expectation.Rises } => "falls where it should rise",
        { Verdict: Verdict.WrongWay, Expected: Expectation.Falls } => "rises where it should fall",
        { Verdict: Verdict.Bouncing } => finding.Bounces == 1 ? "bounces: 1 extra transition" : $"bounces: {finding.Bounces} extra transitions",
        { Verdict: Verdict.Weak, Level: { } level } => $"is weak: {level}",
        { Verdict: Verdict.Late, Expected: Expectation.Rises or Expectation.Falls } => $"{Subject(finding)} late",
        { Verdict: Verdict.Early, Expected: Expectation.Rises or Expectation.Falls } => $"{Subject(finding)} early",
        { Verdict: Verdict.Extra } => "moves uncommanded",
        { Verdict: Verdict.Absent, Expected: Expectation.Pulses } => "gives no pulses",
        _ when finding.IsTransition() => Subject(finding),
        _ => finding.Words,
    };

    /// <summary>One line on a transition: what it did, how long after what, and what is allowed.</summary>
    public static string TransitionLine(Finding finding)
    {
        var cause = finding.Cause is null ? "" : $" after {finding.Cause}";
        if (finding is { Cause: null, ObservedAt: { } at })
            return $"{Short(finding)} at {at}";
        if (finding.Delay is not { } delay || finding.ObservedAt is null)
            return finding.Verdict == Verdict.Absent ? Short(finding) + cause : Short(finding);
        var allowed = finding is { Earliest: { } earliest, Latest: { } latest } ? $" ({Range(earliest, latest)})" : "";
        return $"{Short(finding)}{(finding.IsWrong ? ":" : "")} {DelayText(finding, delay)}{cause}{allowed}";
    }

    /// <summary>
    /// The delay as the adapter knows it. What lies within its uncertainty is given as a bound, not as a number: a step of the program and a record make
    /// the looks around them several times further apart than the resolution.
    /// </summary>
    public static string DelayText(Finding finding, Duration delay)
    {
        if (finding.Timing != Timing.NotResolved || finding.Measured is not { } measured)
            return delay.ToString();
        return delay < measured.ExpandedUncertainty ? $"< {delay + measured.Guard}" : $"{delay} ± {measured.ExpandedUncertainty}";
    }

    public static string Standing(PanelStanding standing) => standing switch
    {
        PanelStanding.AsExpected => "as expected",
        PanelStanding.FirstWrong => "FIRST WRONG",
        PanelStanding.AlsoWrong => "wrong too",
        PanelStanding.NothingArrives => "no change arrives",
        PanelStanding.NoLead => "no lead here",
        _ => "not judged",
    };

    /// <summary>Which stage swallows the command.</summary>
    public static string Headline(ChannelResult result)
    {
        var channel = result.Channel;
        if (result.FirstFailure is not { } failure || !failure.IsWrong)
        {
            return result.Condition == Condition.Working
                ? $"The command passes every stage from {channel.DrivenAt.Name} to {channel.Stages[^1].OutputName}."
                : result.Summary;
        }
        if (result.Condition == Condition.LeadOpen)
            return $"Check the lead at {failure.TestPoint} and sweep again before any part is touched.";
        if (failure.Stage == -1)
            return $"The command is wrong where it enters the board: {failure.TestPoint} {Short(failure)}.";
        var path = result.Findings.Where(finding => finding.Stage is not null).GroupBy(finding => finding.Stage!.Value);
        if (failure.Stage is { } stage)
        {
            var good = path
                .Where(group => group.Key < stage && group.All(f => !f.IsWrong) && group.Any(f => f.IsTransition() && f.Verdict == Verdict.Conforms))
                .Select(group => group.Key).DefaultIfEmpty(-2).Max();
            var between = channel.Stages.Skip(Math.Max(good + 1, 0)).Take(stage - Math.Max(good, -1)).Select(s => s.Part).Distinct()
                .Select(part => $"{part.Name} ({part.Type.Name})");
            var from = good switch { -2 => "The command", -1 => $"Good at {channel.DrivenAt.Name}, then the command", _ => $"Good as far as {channel.Stages[good].OutputName}, then the command" };
            return $"{from} goes wrong in {string.Join(" or ", between)}: {failure.TestPoint} {Short(failure)}.";
        }
        var subject = channel.Feedback.Any(feedback => feedback.Point.Name == failure.TestPoint) ? "feedback " : "";
        var passes = path.Any() && path.All(group => group.All(finding => !finding.IsWrong));
        return passes
            ? $"The command passes every stage, but {subject}{failure.TestPoint} {Short(failure)}."
            : $"First wrong: {subject}{failure.TestPoint} {Short(failure)}.";
    }

    public static string Range(Duration earliest, Duration latest) => earliest <= Duration.Zero ? $"max {latest}" : $"{earliest} to {latest}";

    private static string Subject(Finding finding) => finding.Expected switch
    {
        Expectation.Rises => "rises",
        Expectation.Falls => "falls",
        Expectation.Quiet => "quiet",
        Expectation.LowLevel => "low level",
        Expectation.HighLevel => "high level",
        Expectation.Pulses => "pulses",
        _ => "settling",
    };
}
