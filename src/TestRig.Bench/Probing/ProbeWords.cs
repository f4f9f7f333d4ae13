using System.Globalization;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Probing;

/// <summary>The words of probing.</summary>
public static class ProbeWords
{
    /// <summary>What a person does now: "touch U3.18 with the lead from A15".</summary>
    public static string Touch(ProbeQuestion question, string pin)
    {
        var point = question.Point.Point;
        var with = point.Divider is { } divider ? $"with the divider {divider.Upper} / {divider.Lower} in the lead" : $"with the lead alone ({point.Series} at the adapter, no divider)";
        return $"{point.Name} {with}, from {pin}{(point.Ground is { } ground ? $"; it refers to ground {ground}" : "")}.";
    }

    /// <summary>"U3.18: goes high for the command if everything in front of it is good (62 %); stays low if U3 or lead to J1.6 is faulty (33 %)."</summary>
    public static string Expected(ProbeQuestion question, Channel channel)
    {
        var idle = channel.LevelAfter(question.Point.Stage, channel.Line.Idle);
        return question.Expected.IsEmpty
            ? $"{question.Point.Name}: what it shows cannot be told before."
            : $"{question.Point.Name}: {string.Join("; ", question.Expected.Select(expectation => Of(expectation, idle)))}.";
    }

    private static string Of(ProbeExpectation expectation, Level idle)
    {
        var causes = string.Join(", ", expectation.Items);
        var share = $"({Words.Percent(expectation.Probability).Trim()})";
        return expectation.Sight switch
        {
            ProbeSight.Good => $"goes {idle.Inverted().Word()} for the command if everything in front of it is good {share}",
            ProbeSight.Poor => $"goes {idle.Inverted().Word()}, but late, weak or unsteady, if it is {causes} {share}",
            ProbeSight.StaysIdle => $"stays {idle.Word()} if it is {causes} {share}",
            ProbeSight.StaysActive => $"stays {idle.Inverted().Word()} if it is {causes} {share}",
            _ => $"anything else if it is {causes} {share}",
        };
    }

    /// <summary>What the point did, and what of it was not as it should be.</summary>
    public static string Seen(ProbeStep step)
    {
        if (step.Answer == ProbeAnswer.Skipped)
            return $"{step.Point}: not touched.";
        if (step.Trace is not { } trace)
            return $"{step.Point}: not seen; nothing was driven.";
        var levels = trace.Before == trace.During && trace.During == trace.After
            ? $"stays {trace.Before.Word()}"
            : $"{trace.Before.Word()}, {trace.During.Word()} at the end of the command, {trace.After.Word()} after it";
        var surplus = trace.Surplus > 0 ? string.Create(CultureInfo.InvariantCulture, $", with {trace.Surplus} more changes") : "";
        var wrong = step.Findings.Where(finding => finding.IsWrong).Select(finding => finding.Words).Distinct().ToList();
        return wrong.Count == 0 ? $"{step.Point}: {levels}{surplus}, as it should." : $"{step.Point}: {levels}{surplus}. {string.Join(" ", wrong)}";
    }

    /// <summary>The one line that ends it.</summary>
    public static string Verdict(ProbeResult result)
    {
        var touched = result.Touched.IsEmpty ? "no point was touched" : string.Join(", ", result.Touched);
        return Words.Simulated(result.Adapter) + result.Outcome switch
        {
            ProbeOutcome.FaultFound => $"{result.Channel.Name}: not working. Touched: {touched}.",
            ProbeOutcome.NothingWrong => $"{result.Channel.Name}: nothing wrong at {result.Channel.DrivenAt.Name}{(result.Touched.IsEmpty ? "" : $", {touched}")}.",
            _ => $"{result.Channel.Name}: undecided. Nothing wrong at {result.Channel.DrivenAt.Name}{(result.Touched.IsEmpty ? "" : $", {touched}")}; not all was touched that would have told.",
        };
    }

    public static string Of(ProbeSuspect suspect) => suspect.Item is { } item ? $"{item}: {suspect.Words}" : "nothing wrong";
}
