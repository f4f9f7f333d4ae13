using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>Composes the panels of one channel, in path order.</summary>
internal sealed class PanelComposer(ChannelResult result, Capture capture)
{
    private readonly Channel _channel = result.Channel;

    /// <summary>What could not be judged is not wrong.</summary>
    private readonly Finding? _firstWrong = result.FirstFailure is { } failure && failure.IsWrong ? failure : null;

    public ImmutableArray<Panel> Compose()
    {
        var panels = ImmutableArray.CreateBuilder<Panel>();
        var driven = _channel.DrivenAt;
        panels.Add(Of(
            driven.Name,
            $"command, idle {_channel.Line.Idle.Word()}",
            DriveSignal(_channel, capture),
            _channel.Stages[0].Circuit.Input?.Limits,
            isOpen: false));
        foreach (var stage in _channel.Stages)
        {
            var signal = stage.Output is null ? null : capture.Find(stage.Output.Name);
            panels.Add(Of(stage.OutputName, $"{stage.Part.Name} {stage.Part.Type.Name}, output", signal, stage.Levels, stage.Output?.AdapterPin is null));
        }
        foreach (var feedback in _channel.Feedback)
        {
            var what = feedback is PulseFeedback ? "feedback, pulses" : "feedback, switch";
            panels.Add(Of(feedback.Point.Name, what, capture.Find(feedback.Point.Name), null, feedback.Point.AdapterPin is null));
        }
        // A point off the path is shown only when something happened there that should not have.
        var shown = panels.Select(panel => panel.Name).ToHashSet();
        foreach (var point in result.Findings.Where(finding => finding.IsWrong).Select(finding => finding.TestPoint).Distinct())
        {
            if (shown.Add(point))
                panels.Add(Of(point, "not on this path", capture.Find(point), null, isOpen: false));
        }
        return panels.ToImmutable();
    }

    /// <summary>The panel of another picture that stands for the same: by its name where the other has one so called, else by its place in the path.</summary>
    /// <param name="index">Of the panel in its own picture.</param>
    public static Panel? Matching(Panel panel, int index, ImmutableArray<Panel> others) =>
        others.FirstOrDefault(other => other.Name == panel.Name) ?? (index < others.Length && others[index].What.Split(',')[^1] == panel.What.Split(',')[^1] ? others[index] : null);

    /// <summary>The drive line as captured: by its test point, or by the adapter's own pin.</summary>
    public static Signal? DriveSignal(Channel channel, Capture capture) =>
        capture.Find(channel.DrivenAt.Name) ?? capture.Find(channel.Line.AdapterPin);

    private Panel Of(string point, string what, Signal? signal, LevelLimits? limits, bool isOpen)
    {
        var findings = result.Findings.Where(finding => finding.TestPoint == point).ToImmutableArray();
        var standing = StandingOf(point, findings, isOpen && signal is null);
        return new(
            point,
            what,
            signal,
            standing,
            PictureWords.Standing(standing),
            [.. Words(findings)],
            [.. findings.Select(WindowOf).OfType<ExpectedWindow>()],
            [.. findings.Select(finding => DelayOf(finding, signal)).OfType<DelayNote>()],
            [.. capture.Levels.Where(reading => reading.Signal == (signal?.Name ?? point)).Select(reading => new LevelNote(reading.At, LevelText(reading.Mean, limits)))],
            standing == PanelStanding.FirstWrong ? MarkOf(_firstWrong!, signal) : null)
        { Bounce = signal is null ? null : findings.Select(finding => BounceOf(finding, signal)).FirstOrDefault(bounce => bounce is not null) };
    }

    /// <summary>From the first transition to the last one that it bounced with.</summary>
    private static BounceInset? BounceOf(Finding finding, Signal signal)
    {
        if (finding is not { Bounces: > 0 and var bounces, ObservedAt: { } first })
            return null;
        var changes = signal.Changes.Where(change => change.Estimate >= first).Take(bounces + 1).ToList();
        return changes.Count < 2 ? null : new(first, changes[^1].Estimate, $"{(bounces == 1 ? "1 more transition" : $"{bounces} more transitions")} in {changes[^1].Estimate - first}");
    }

    private PanelStanding StandingOf(string point, ImmutableArray<Finding> findings, bool isOpen)
    {
        if (_firstWrong?.TestPoint == point)
            return PanelStanding.FirstWrong;
        if (_firstWrong?.Stage is { } swallowing && findings.Any(finding => finding.Stage > swallowing)
            && findings.Any(finding => finding.IsWrong) && findings.All(finding => !finding.IsWrong || finding.Verdict == Verdict.Absent))
            return PanelStanding.NothingArrives;
        if (findings.Any(finding => finding.IsWrong))
            return PanelStanding.AlsoWrong;
        if (isOpen)
            return PanelStanding.NoLead;
        return findings.Any(finding => finding.Verdict == Verdict.Conforms) ? PanelStanding.AsExpected : PanelStanding.NotJudged;
    }

    /// <summary>One line for each direction, and one for everything else that is wrong or worth a word.</summary>
    private static IEnumerable<string> Words(ImmutableArray<Finding> findings)
    {
        foreach (var direction in findings.Where(finding => finding.IsTransition()).GroupBy(finding => finding.Expected))
        {
            // Of repeated commands the wrong one speaks, else the first.
            var spokesman = direction.FirstOrDefault(finding => finding.IsWrong) ?? direction.First();
            var others = direction.Count() - 1;
            yield return PictureWords.TransitionLine(spokesman) + (others == 0 ? "" : $" (one of {others + 1})");
        }
        foreach (var finding in findings.Where(finding => !finding.IsTransition()))
        {
            if (finding.Verdict == Verdict.Weak)
                yield return PictureWords.Short(finding);
            else if (finding.IsWrong || finding.Expected is Expectation.Pulses or Expectation.Settles)
                yield return finding.Words;
        }
    }

    private ExpectedWindow? WindowOf(Finding finding)
    {
        if (finding.Verdict == Verdict.NotTested)
            return null;
        switch (finding.Expected)
        {
            case Expectation.Rises or Expectation.Falls when finding is { CauseAt: { } cause, Latest: { } latest }:
                var arrives = finding.Expected == Expectation.Rises ? Level.High : Level.Low;
                return new(cause + (finding.Earliest ?? Duration.Zero), cause + latest, arrives, arrives.ArrivalWord());
            case Expectation.Pulses when CommandOn(finding) is { } on:
                var pulses = _channel.Feedback.OfType<PulseFeedback>().FirstOrDefault(feedback => feedback.Point.Name == finding.TestPoint);
                return pulses is null ? null : new(on, Instant.Min(on + pulses.Within, capture.End), null, $"{pulses.PulsesMinimum}..{pulses.PulsesMaximum} pulses");
            case Expectation.Settles when finding.ObservedAt is { } first:
                var contact = _channel.Feedback.OfType<SwitchFeedback>().FirstOrDefault(feedback => feedback.Point.Name == finding.TestPoint);
                return contact is null ? null : new(first, first + contact.SettlesWithin, null, "settles");
            default:
                return null;
        }
    }

    private Instant? CommandOn(Finding finding)
    {
        if (finding.CauseAt is not null)
            return finding.CauseAt;
        foreach (var change in DriveSignal(_channel, capture)?.Changes ?? [])
        {
            if (change.Level == _channel.Line.Active)
                return change.Estimate;
        }
        return null;
    }

    private DelayNote? DelayOf(Finding finding, Signal? signal) =>
        finding.IsTransition() && finding is { CauseAt: { } cause, ObservedAt: { } observed, Delay: { } delay }
            ? new(
                cause,
                observed,
                signal?.Changes.Where(change => change.Estimate == observed).Select(change => (Duration?)change.Width).FirstOrDefault() ?? capture.Resolution,
                ReferenceEquals(finding, _firstWrong) ? "" : PictureWords.DelayText(finding, delay))
            : null;

    private WrongMark? MarkOf(Finding failure, Signal? signal)
    {
        var at = failure.ObservedAt ?? (failure.CauseAt is { } cause ? cause + (failure.Earliest ?? Duration.Zero) : null);
        if (at is null && failure.Level is { } level)
            at = capture.Levels.FirstOrDefault(reading => reading.Signal == (signal?.Name ?? failure.TestPoint) && reading.Mean == level)?.At;
        at ??= CommandOn(failure);
        var delay = failure is { Delay: { } known, ObservedAt: not null } && failure.IsTransition()
            ? $": {PictureWords.DelayText(failure, known)}"
            : "";
        return at is { } instant ? new(instant, PictureWords.Short(failure) + delay) : null;
    }

    private static string LevelText(Volts voltage, LevelLimits? limits) => limits?.Classify(voltage) switch
    {
        LevelClass.Low => $"{voltage} low",
        LevelClass.High => $"{voltage} high",
        LevelClass.Undefined => $"{voltage} undefined",
        _ => voltage.ToString(),
    };
}
