using System.Collections.Immutable;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>Explains failed feedback of channels whose signal path is sound.</summary>
internal static class FeedbackDiagnosis
{
    public static ImmutableArray<Fault> Faults(IReadOnlyCollection<ChannelResult> sound)
    {
        var failures = sound
            .SelectMany(result => result.Findings.Select(finding => (Result: result, Finding: finding)))
            .Where(entry => IsFeedback(entry.Finding) && entry.Finding.IsWrong)
            .ToList();
        return [.. failures.GroupBy(entry => entry.Finding.TestPoint).Select(group => FaultAt(group.Key, [.. group], sound))];
    }

    private static Fault FaultAt(
        string point, ImmutableArray<(ChannelResult Result, Finding Finding)> failures, IReadOnlyCollection<ChannelResult> sound)
    {
        var first = failures[0].Finding;
        var channels = failures.Select(entry => entry.Result.Channel.Name).ToImmutableArray();
        var drives = channels.Select(channel => $"motor circuit of {channel}");
        // Pick-up and motor fail alike when no pulses come; a pick-up that counts well for another channel is sound.
        var pickUpIsSound = sound.Any(result => result.Findings.Any(finding => finding.TestPoint == point && IsFeedback(finding) && finding.Verdict == Verdict.Conforms && finding.Pulses > 0));
        ImmutableArray<string> group = first.Expected == Expectation.Settles ? [point]
            : pickUpIsSound ? [.. drives]
            : [point, .. drives];
        var suspect = new Suspect(group, FaultMode.Feedback, Words(first), 1, channels);
        return new(channels, [suspect], Advisor.AdviseFeedback(suspect));
    }

    private static string Words(Finding finding) => finding.Verdict switch
    {
        Verdict.Bouncing => $"bounces {finding.Bounces} times",
        Verdict.Absent => "no pulses",
        Verdict.Late => $"too few pulses ({finding.Pulses})",
        _ => $"too many pulses ({finding.Pulses})",
    };

    private static bool IsFeedback(Finding finding) => finding.Expected is Expectation.Pulses or Expectation.Settles;
}
