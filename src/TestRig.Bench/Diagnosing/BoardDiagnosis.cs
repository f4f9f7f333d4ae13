using System.Runtime.CompilerServices;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Diagnosing;

/// <summary>From a sweep to its diagnosis. It is given what was seen and the board's profile, and nothing else.</summary>
internal static class BoardDiagnosis
{
    /// <summary>What faults do does not change from sweep to sweep of one board.</summary>
    private static readonly ConditionalWeakTable<Board, Dictionary<ExerciseMode, BoardTwin>> _twins = [];

    public static Diagnosis Of(SweepResult result)
    {
        if (!result.AnyFaulty && result.Checks.All(check => check.Good))
            return Diagnosis.None;
        var twin = TwinOf(result.Board, result.Mode);
        return Diagnoser.Diagnose(result.Board, result.Channels, twin.OutcomesOf(result.Seen), twin);
    }

    public static BoardTwin TwinOf(Board board, ExerciseMode mode)
    {
        var twins = _twins.GetOrCreateValue(board);
        lock (twins)
            return twins.TryGetValue(mode, out var known) ? known : twins[mode] = new(board, mode);
    }
}
