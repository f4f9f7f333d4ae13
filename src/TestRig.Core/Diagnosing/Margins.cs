using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Diagnosing;

/// <summary>How much room a sweep found between what a part does and what it may do.</summary>
internal static class Margins
{
    /// <summary>
    /// Within this share of a limit a part is as good as at it (common practice): of the latest permitted delay, of the undefined region between the levels, of the smallest transfer ratio of the data sheet.
    /// </summary>
    private const double Near = 0.1;

    public static bool WasMeasured(Part part, ImmutableArray<ChannelResult> results) => FindingsOf(part, results).Any(entry => entry.Finding.Verdict != Verdict.NotTested);

    /// <summary>The first small margin in path order; null where none was found, which says nothing of what was not measured.</summary>
    public static MarginalPart? Small(Part part, ImmutableArray<ChannelResult> results) =>
        FindingsOf(part, results).Select(entry => WordsOf(entry.Channel, entry.Stage, entry.Finding)).FirstOrDefault(words => words is not null) is { } small ? new(part.Name, part.Type.Name, small) : null;

    private static IEnumerable<(Channel Channel, int Stage, Finding Finding)> FindingsOf(Part part, ImmutableArray<ChannelResult> results) =>
        from result in results
        from finding in result.Findings
        where finding.Stage is { } stage and >= 0 && result.Channel.Stages[stage].Part == part
        select (result.Channel, finding.Stage!.Value, finding);

    private static string? WordsOf(Channel channel, int index, Finding finding)
    {
        if (finding.IsWrong)
            return null;
        var stage = channel.Stages[index];
        return Late(index == 0 ? channel.DrivenAt.Name : channel.Stages[index - 1].OutputName, finding)
            ?? WeakTransfer(channel, index, finding)
            ?? AtLimit(stage.Levels, finding);
    }

    /// <param name="before">The point in front: a delay that is counted from farther away is not that of this part alone.</param>
    private static string? Late(string before, Finding finding) =>
        finding is { Measured: { } delay, Latest: { } latest } && finding.Cause == before && delay.Value >= latest.Scaled(1 - Near) && delay.Guard <= latest.Scaled(Near)
            ? $"{finding.TestPoint} {(finding.Expected == Expectation.Rises ? "rises" : "falls")} {delay.Value} after {before}, {latest} is the latest permitted"
            : null;

    /// <summary>What the lit level of an isolator says of its transfer ratio, where it is not saturated.</summary>
    private static string? WeakTransfer(Channel channel, int index, Finding finding)
    {
        if (channel.Stages[index].Part is not IsolatorPart part || finding.Reading is not { } reading)
            return null;
        var lit = part.TakenAtCollector ? Expectation.LowLevel : Expectation.HighLevel;
        if (finding.Expected != lit || reading.Mean.Value < 0 || reading.Mean > part.OutputSupply.Maximum)
            return null;
        var estimate = new IsolatorCircuit(part, StageModel.SinkOf(channel, index)).Estimate(reading.Mean, new(reading.StandardUncertainty.Value));
        var least = part.IsolatorType.TransferRatioMinimum;
        return estimate.AtLeast || estimate.Ratio > least * (1 + Near)
            ? null
            : string.Create(
                CultureInfo.InvariantCulture,
                $"{finding.TestPoint} is {reading.Mean.ToHundredths()} while lit: a transfer ratio of {estimate.Ratio * 100:0.0} % ± {estimate.StandardUncertainty * 200:0.0} %, and a new {part.Type.Name} has {least * 100:0.##} % or more");
    }

    private static string? AtLimit(LevelLimits limits, Finding finding)
    {
        if (finding.Reading is not { } reading)
            return null;
        var near = new Volts((limits.HighMinimum.Value - limits.LowMaximum.Value) * Near);
        return finding.Expected switch
        {
            Expectation.LowLevel when reading.Mean.Value > limits.LowMaximum.Value - near.Value => $"{finding.TestPoint} is low at {reading.Mean.ToHundredths()}, {limits.LowMaximum.ToHundredths()} is the most permitted",
            Expectation.HighLevel when reading.Mean.Value < limits.HighMinimum.Value + near.Value => $"{finding.TestPoint} is high at {reading.Mean.ToHundredths()}, {limits.HighMinimum.ToHundredths()} is the least permitted",
            _ => null,
        };
    }
}
