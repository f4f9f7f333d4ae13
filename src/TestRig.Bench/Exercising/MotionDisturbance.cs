using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;

namespace TestRig.Bench.Exercising;

/// <summary>What ends an exercise in which nothing may move.</summary>
internal static class MotionDisturbance
{
    /// <summary>A stop input, or whatever only motion changes, did something; null when all was quiet.</summary>
    /// <param name="capture">Signals by test-point name.</param>
    /// <param name="otherwise">What else may be done than to switch the motor supply off, as the end of a sentence; empty where nothing.</param>
    public static string? Words(Board board, Capture capture, string otherwise = "")
    {
        if (StopWords(capture) is { } stop)
            return stop;
        var watched = QuietJudge.MotionPoints(board);
        return capture.Signals.FirstOrDefault(signal => watched.Contains(signal.Name) && !signal.Changes.IsEmpty) is { } moved
            ? $"{moved.Name} changed ({moved.Changes.Length} transitions). In logic-only mode nothing may move: switch the motor supply off and lock it out{otherwise}."
            : null;
    }

    /// <summary>A stop input ended it; null when none did.</summary>
    public static string? StopWords(Capture capture) => capture.Ending.Outcome == CaptureOutcome.StopInput
        ? SweepEnding.StoppedBy(capture.Ending.StoppedBy).Words
        : null;
}
