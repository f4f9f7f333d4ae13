using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Soaking;

/// <summary>From a sweep to what is kept of it.</summary>
public static class CycleRecords
{
    /// <param name="number">From 1, in the whole run.</param>
    public static CycleRecord Of(long number, SweepResult result, DateTimeOffset started, TimeSpan took) => new(
        number, started, took, result.Ending.Outcome, result.Ending.Words,
        [.. result.Channels.Select(channel => new CycleChannel(channel.Channel.Name, channel.Condition, channel.Condition == Condition.Working ? null : channel.Summary))],
        [.. result.Checks.Where(check => !check.Good).Select(check => $"{check.Name}: {check.Words}")],
        [.. Measured(result).Select(measured => measured.Figure)]);

    /// <summary>The whole cycle, to draw, judge and diagnose it again.</summary>
    public static KeptCycle Kept(KeepReason reason, SweepResult result) => new(
        reason, [.. result.Channels.Select(channel => channel.Record).OfType<ExerciseRecord>()], [.. result.Seen.Where(seen => seen.Sight.Channel.Length == 0)]);

    /// <summary>Each figure with the finding that it was measured for; of each key one.</summary>
    // A point may be told of twice: that it moved as it should, and that it did so too often.
    internal static IEnumerable<(CycleFigure Figure, ChannelResult Channel, Finding Finding)> Measured(SweepResult result) => result.Channels
        .SelectMany(channel => channel.Findings.SelectMany(finding => Figures(channel, finding).Select(figure => (figure, channel, finding))))
        .DistinctBy(measured => measured.figure.Key);

    private static IEnumerable<CycleFigure> Figures(ChannelResult result, Finding finding)
    {
        var channel = result.Channel;
        CycleFigure Figure(FigureKind kind, double value, double? lowest = null, double? highest = null) =>
            new(new(channel.Name, finding.TestPoint, finding.Expected, kind), (long)Math.Round(value), lowest is { } low ? (long)Math.Round(low) : null, highest is { } high ? (long)Math.Round(high) : null);

        // A window that is narrower than what the adapter can tell says nothing of a delay in it.
        if (finding is { Delay: { } delay, Stage: not null } && finding.Latest - finding.Earliest > finding.ExpandedUncertainty && IsCountedFromNext(result, finding))
            yield return Figure(FigureKind.Delay, delay.Picoseconds, finding.Earliest?.Picoseconds, finding.Latest?.Picoseconds);
        if (finding.SettleTime is { } settles && PermittedBounce(channel, finding) is var (most, within))
        {
            yield return Figure(FigureKind.SettleTime, settles.Picoseconds, null, within.Picoseconds);
            yield return Figure(FigureKind.Bounces, finding.Bounces, null, most);
        }
        if (finding is { Level: { } level, Stage: >= 0 and var stage } && finding.Verdict != Verdict.NotTested)
        {
            var limits = channel.Stages[stage].Levels;
            yield return finding.Expected == Expectation.LowLevel ? Figure(FigureKind.Level, level.Value * 1e6, null, limits.LowMaximum.Value * 1e6) : Figure(FigureKind.Level, level.Value * 1e6, limits.HighMinimum.Value * 1e6);
        }
        if (finding.Pulses is { } pulses && finding.Verdict is not (Verdict.NotTested or Verdict.NotResolved))
            yield return Figure(FigureKind.Pulses, pulses);
        if (finding.Rate is { } rate)
            yield return Figure(FigureKind.Rate, rate.Value.Value * 1e6);
    }

    /// <summary>What a contact may do: a switch of the machine, or a relay's. Null of what is none.</summary>
    private static (int Most, Duration Within)? PermittedBounce(Channel channel, Finding finding) =>
        finding.Expected == Expectation.Settles && channel.Feedback.OfType<SwitchFeedback>().FirstOrDefault(contact => contact.Point.Name == finding.TestPoint) is { } contact ? (contact.BouncesMaximum, contact.SettlesWithin)
        : finding.Stage is >= 0 and var stage && channel.Stages[stage].Bounce is { } bounce ? (bounce.Most, bounce.Within)
        : null;

    /// <summary>
    /// From the point in front that is seen. Where that one did not answer, the delay is counted across its stage too, with other limits: that is another figure than the cycles before had at this point.
    /// </summary>
    private static bool IsCountedFromNext(ChannelResult result, Finding finding)
    {
        var front = result.Findings.Where(other => other.Expected is Expectation.Rises or Expectation.Falls).Select(other => other.Stage ?? -1).Where(stage => stage < finding.Stage).Append(-1).Max();
        return finding.Cause == (front < 0 ? result.Channel.DrivenAt.Name : result.Channel.Stages[front].OutputName);
    }
}
