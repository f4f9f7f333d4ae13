using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Recordings;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Diagnosing;

/// <summary>From a sweep to its diagnosis. It is given what was seen, the board's profile and what the adapter says of itself, and nothing else.</summary>
public static class BoardDiagnosis
{
    /// <summary>What faults do does not change from sweep to sweep of one board through one kind of adapter.</summary>
    private static readonly ConditionalWeakTable<Board, Dictionary<(ExerciseMode, AdapterFigures, string), BoardTwin>> _twins = [];

    /// <param name="pins">Of the adapter: where it reads voltages and checks leads.</param>
    public static Diagnosis Of(SweepResult result, ImmutableArray<AdapterPin> pins)
    {
        if (!IsWrong(result))
            return Diagnosis.None;
        var diagnosis = OfWrong(result, pins);
        return result.Adapter.IsRecording ? RecordedAdvice.Of(diagnosis) : diagnosis;
    }

    private static Diagnosis OfWrong(SweepResult result, ImmutableArray<AdapterPin> pins)
    {
        Diagnosis By(BoardTwin model) => Diagnoser.Diagnose(result.Board, result.Channels, model.OutcomesOf(result.Seen), model);
        var twin = TwinOf(result.Board, result.Mode, result.Adapter, pins);
        var usual = By(twin);
        if (usual is { Faults.Length: 1, Misfits: 0 })
            return usual;
        // One usual fault does not explain it: leads that were clipped far from where they belong may.
        var crossed = LeadsAnywhere.Crossed(result.Board, result.Seen);
        return crossed.IsEmpty ? usual : By(twin.With(crossed));
    }

    /// <summary>The same where leads may be anywhere.</summary>
    /// <returns>The diagnosis; where nothing is wrong, groups of points whose leads could be exchanged without anything else being seen.</returns>
    internal static (Diagnosis Diagnosis, ImmutableArray<ImmutableArray<string>> Alike) OfLeads(SweepResult result, ImmutableArray<AdapterPin> pins)
    {
        var twin = TwinOf(result.Board, result.Mode, result.Adapter, pins).With(LeadsAnywhere.Of(result.Board));
        var seen = twin.OutcomesOf(result.Seen);
        return IsWrong(result) ? (Diagnoser.Diagnose(result.Board, result.Channels, seen, twin), []) : (Diagnosis.None, Alike(result.Board, seen, twin));
    }

    private static ImmutableArray<ImmutableArray<string>> Alike(Board board, Outcomes seen, BoardTwin twin)
    {
        // Only points that do the same at the same commands can be alike.
        string Doing(string point) => string.Join(' ', board.Channels.SelectMany(channel => channel.Stages.Select((stage, index) => (channel, stage, index))).Where(entry => entry.stage.OutputName == point)
            .Select(entry => $"{entry.channel.Line.Name} {entry.channel.LevelAfter(entry.index, entry.channel.Line.Idle)} {entry.channel.LevelAfter(entry.index, entry.channel.Line.Active)}"));
        ImmutableArray<BoardFault> exchanges = [.. twin.Faults.Where(fault => fault.Between is [var one, var other] && fault.IsExchange && Doing(one) == Doing(other))];
        twin.Foresee([.. exchanges.Select(exchange => ImmutableArray.Create(exchange))]);
        var groups = new List<HashSet<string>>();
        foreach (var exchange in exchanges.Where(exchange => seen.All.All(shown => shown.Fits(twin.Predict([exchange])[0]))))
        {
            var joined = groups.FindAll(group => group.Overlaps(exchange.Between));
            groups.RemoveAll(joined.Contains);
            groups.Add([.. joined.SelectMany(group => group), .. exchange.Between]);
        }
        return [.. groups.Select(group => board.TestPoints.Select(point => point.Name).Where(group.Contains).ToImmutableArray())];
    }

    /// <summary>What the adapter or the operator cut short says nothing of the board until a channel was judged.</summary>
    private static bool IsWrong(SweepResult result) => result.AnyFaulty || result.Ending.Outcome switch
    {
        SweepOutcome.Complete => result.Checks.Any(check => !check.Good),
        SweepOutcome.NotReady or SweepOutcome.StoppedForSafety => true,
        _ => false,
    };

    internal static BoardTwin TwinOf(Board board, ExerciseMode mode, AdapterIdentity adapter, ImmutableArray<AdapterPin> pins)
    {
        var figures = AdapterFigures.Like(adapter);
        var looks = string.Join(' ', pins.Select(pin => string.Create(CultureInfo.InvariantCulture, $"{pin.Name}{(pin.Analog ? "a" : "")}{(pin.CanCheckLead ? "c" : "")}")));
        var twins = _twins.GetOrCreateValue(board);
        lock (twins)
            return twins.TryGetValue((mode, figures, looks), out var known) ? known : twins[(mode, figures, looks)] = new(board, mode, figures, pins);
    }
}
