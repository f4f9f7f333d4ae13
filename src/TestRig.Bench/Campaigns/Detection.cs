using TestRig.Bench.Exercising;
using TestRig.Core.Judging;

namespace TestRig.Bench.Campaigns;

/// <summary>What counts as having found that something is wrong.</summary>
internal static class Detection
{
    /// <summary>A channel is faulty, a check is not good, or the sweep was not begun or not finished for what it saw.</summary>
    public static bool IsAlarm(SweepResult result) =>
        result.AnyFaulty || result.Checks.Any(check => !check.Good) || result.Ending.Outcome is SweepOutcome.StoppedForSafety or SweepOutcome.NotReady;

    /// <summary>What is not as it should be on a board on which nothing is wrong, as a sentence; null when all is.</summary>
    public static string? FalseAlarm(SweepResult result) =>
        result.Ending.Outcome != SweepOutcome.Complete ? result.Ending.Words
        : result.Channels.FirstOrDefault(channel => channel.Condition != Condition.Working) is { } wrong ? $"{wrong.Channel.Name}: {wrong.Summary}"
        : result.Checks.FirstOrDefault(check => !check.Good) is { } check ? $"{check.Name}: {check.Words}"
        : null;
}
