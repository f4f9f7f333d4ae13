using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Diagnosing;

/// <summary>From a sweep to its diagnosis. It is given what was seen, the board's profile and what the adapter says of itself, and nothing else.</summary>
internal static class BoardDiagnosis
{
    /// <summary>What faults do does not change from sweep to sweep of one board through one kind of adapter.</summary>
    private static readonly ConditionalWeakTable<Board, Dictionary<(ExerciseMode, AdapterFigures, string), BoardTwin>> _twins = [];

    /// <param name="pins">Of the adapter: where it reads voltages and checks leads.</param>
    public static Diagnosis Of(SweepResult result, ImmutableArray<AdapterPin> pins)
    {
        // What the adapter or the operator cut short says nothing of the board until a channel was judged.
        var isWrong = result.AnyFaulty || result.Ending.Outcome switch
        {
            SweepOutcome.Complete => result.Checks.Any(check => !check.Good),
            SweepOutcome.NotReady or SweepOutcome.StoppedForSafety => true,
            _ => false,
        };
        if (!isWrong)
            return Diagnosis.None;
        var twin = TwinOf(result.Board, result.Mode, result.Adapter, pins);
        return Diagnoser.Diagnose(result.Board, result.Channels, twin.OutcomesOf(result.Seen), twin);
    }

    public static BoardTwin TwinOf(Board board, ExerciseMode mode, AdapterIdentity adapter, ImmutableArray<AdapterPin> pins)
    {
        var figures = AdapterFigures.Like(adapter);
        var looks = string.Join(' ', pins.Select(pin => string.Create(CultureInfo.InvariantCulture, $"{pin.Name}{(pin.Analog ? "a" : "")}{(pin.CanCheckLead ? "c" : "")}")));
        var twins = _twins.GetOrCreateValue(board);
        lock (twins)
            return twins.TryGetValue((mode, figures, looks), out var known) ? known : twins[(mode, figures, looks)] = new(board, mode, figures, pins);
    }
}
