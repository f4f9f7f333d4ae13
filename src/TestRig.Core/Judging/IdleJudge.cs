using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>Judges a channel that nobody commands: whatever changes at its points does so by itself.</summary>
public static class IdleJudge
{
    /// <param name="windows">At least one: what was captured while every line idled, signals by test-point name, each with the points that were seen then.</param>
    public static ChannelResult Judge(Channel channel, ExerciseMode mode, ImmutableArray<Capture> windows)
    {
        var owned = channel.Points.Where(name => windows.Any(window => window.Find(name) is not null)).ToImmutableArray();
        ImmutableArray<Capture> restless = [.. windows.Where(window => window.Signals.Any(signal => owned.Contains(signal.Name) && !signal.Changes.IsEmpty))];
        ImmutableArray<Finding> findings = [.. owned.Select(name => Judge(name, windows))];
        var shown = restless.IsEmpty ? windows[0] : restless[0];
        var worst = findings.FirstOrDefault(finding => finding.IsWrong) ?? findings.FirstOrDefault(finding => finding.Verdict == Verdict.NotResolved);
        var (condition, words) = worst is null
            ? owned.IsEmpty ? (Condition.NotTested, "No point of it has a lead: nothing was watched.") : (Condition.Working, $"Nothing changed by itself at {string.Join(", ", owned)}.")
            : (worst.IsWrong ? Condition.Bouncing : Condition.NotTested, worst.Words);
        return new(channel, condition, findings, worst is { IsWrong: true } ? worst : null, [], shown, words)
        {
            Mode = mode,
            Exercises = windows.Length,
            Record = new(new(channel, mode, Duration.Zero, Duration.Zero, []), restless.IsEmpty ? [shown] : restless, ImmutableDictionary<string, LeadState>.Empty),
        };
    }

    private static Finding Judge(string name, ImmutableArray<Capture> windows)
    {
        var seen = windows.Where(window => window.Find(name) is not null).ToList();
        var changes = seen.SelectMany(window => window.Find(name)!.Changes).ToList();
        var (verdict, words) = changes.Count > 0 ? (Verdict.Extra, $"{name} changed {FindingWords.Times(changes.Count)} though nothing was commanded.")
            : seen.Any(window => window.Gaps.Any(gap => gap.IsUnplanned) || window.Ending.Outcome != CaptureOutcome.Complete) ? (Verdict.NotResolved, $"{name}: the adapter was not looking all the time.")
            : (Verdict.Conforms, $"{name} stayed as it was.");
        return new(name, null, Expectation.Quiet, verdict, null, null, null, changes.Count > 0 ? changes[0].Estimate : null, null, null, null, null, Math.Max(0, changes.Count - 1), null, null, words);
    }
}
