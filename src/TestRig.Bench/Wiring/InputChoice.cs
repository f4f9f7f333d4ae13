using System.Collections.Immutable;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Probing;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Choosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Wiring;

/// <summary>Which test points to wire where an adapter has fewer inputs than a board has points: those that tell most faults apart, by what faults do in a logic-only sweep of the nominal board.</summary>
public sealed class InputChoice
{
    private readonly PointChoice _choice;

    private InputChoice(ImmutableArray<string> points, PointChoice choice) => (Points, _choice) = (points, choice);

    /// <summary>The points that can be chosen: outputs in the paths of channels that have a lead, but those that safety rests on. In profile order.</summary>
    public ImmutableArray<string> Points { get; }

    /// <summary>Outputs in the paths of channels that have a lead. Where safety rests on a point (supplies, controller, stop inputs, feedback that tells of motion), its lead stays and is none of these.</summary>
    internal static ImmutableArray<TestPoint> PointsOf(Board board)
    {
        var stay = RovingBoard.PointsThatStay(board).Union(board.Channels.SelectMany(channel => channel.Feedback).Select(feedback => feedback.Point.Name));
        var outputs = board.Channels.SelectMany(channel => channel.Stages).Select(stage => stage.OutputName).ToHashSet();
        return [.. board.TestPoints.Where(point => point.AdapterPin is not null && outputs.Contains(point.Name) && !stay.Contains(point.Name))];
    }

    /// <summary>All faults of parts, lines and supplies are tried, each once; leads that may not be there are no faults of the board.</summary>
    public static InputChoice Of(Board board)
    {
        var outputs = board.Channels.SelectMany(channel => channel.Stages).Select(stage => stage.OutputName).ToHashSet();
        ImmutableArray<string> points = [.. PointsOf(board).Select(point => point.Name)];
        var twin = new BoardTwin(board, ExerciseMode.LogicOnly, AdapterFigures.Reference, []);
        ImmutableArray<BoardFault> faults = [.. twin.Faults.Where(fault => fault.Between.IsEmpty && !fault.Written[0].StartsWith("lead:", StringComparison.Ordinal))];
        Parallel.ForEach(faults, fault => twin.Predict([fault]));
        var sights = twin.Sights;
        ImmutableArray<int> Looks(Func<Sight, bool> of)
        {
            var known = new Dictionary<string, int>();
            int[] experiments = [.. Enumerable.Range(0, sights.Length).Where(experiment => of(sights[experiment]))];
            return [.. faults.Select(fault =>
            {
                var look = string.Join(' ', experiments.Select(experiment => twin.Predict([fault])[0].At(experiment)));
                return known.TryGetValue(look, out var number) ? number : known[look] = known.Count;
            })];
        }

        return new(points, new([.. faults.Select(fault => fault.Odds)], Looks(sight => !outputs.Contains(sight.Point)), [.. points.Select(point => Looks(sight => sight.Point == point))]));
    }

    /// <summary>What so many inputs are best wired to.</summary>
    public ChosenInputs Choose(int inputs)
    {
        var chosen = _choice.Choose(inputs);
        return new([.. chosen.Select(point => Points[point])], _choice.EntropyLeft(chosen), _choice.FaultsLeft(chosen));
    }
}

/// <param name="Points">In profile order; as many as there are inputs, or all.</param>
/// <param name="EntropyLeft">What is expected to be unknown of a fault when all that they show is known, in bits.</param>
/// <param name="FaultsLeft">Expected number of faults that look like the one that is there, itself among them.</param>
public sealed record ChosenInputs(ImmutableArray<string> Points, double EntropyLeft, double FaultsLeft);
