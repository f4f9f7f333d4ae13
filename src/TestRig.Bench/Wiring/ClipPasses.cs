using System.Collections.Immutable;
using TestRig.Bench.Probing;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing.Choosing;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Wiring;

/// <summary>
/// All outputs in the channels' paths watched over several passes, where an adapter has fewer inputs than there are. No sequence of passes has fewer clips to move (<see cref="PassPlanner"/>). Of those that have as
/// few: a lead keeps its divider, then a channel shows its whole path in one pass, then passes are few. A point whose voltage the profile's wiring reads is at such an input in its pass, too.
/// </summary>
/// <param name="Points">That take turns, in profile order. All other leads stay where they are.</param>
/// <param name="Split">Channels of which no pass shows the whole path, in profile order.</param>
public sealed record ClipPasses(Board Board, int Inputs, ImmutableArray<TestPoint> Points, ImmutableArray<ClipPass> Passes, ImmutableArray<Channel> Split)
{
    /// <summary>Clips that are moved, over all passes.</summary>
    public int Moves => Passes.Sum(pass => pass.Moves.Length);

    /// <summary>No plan has fewer: each point that the first pass leaves out takes a move.</summary>
    public int FewestMoves => Math.Max(0, Points.Length - Inputs);

    /// <param name="inputs">For the outputs in the channels' paths, at least 1.</param>
    public static ClipPasses Of(Board board, int inputs)
    {
        var points = InputChoice.PointsOf(board);
        // From leads that keep everything to those that go anywhere; of plans that are as good, the first.
        Func<TestPoint, object>[] kinds = [point => (Resistors(point), ReadsVolts(point)), point => Resistors(point), point => ReadsVolts(point), _ => ""];
        ImmutableArray<ImmutableArray<int>> channels =
            [.. board.Channels.Select(channel => channel.Stages.Select(stage => IndexOf(points, stage)).Where(point => point >= 0).Distinct().ToImmutableArray()).Where(path => !path.IsEmpty)];
        // Where leads have to change their resistors, all points with the same ones after another ask for the fewest changes.
        ImmutableArray<ImmutableArray<int>> alike =
            [.. Enumerable.Range(0, points.Length).GroupBy(point => Resistors(points[point])).Select(group => group.ToImmutableArray())];
        return points.IsEmpty
            ? new(board, inputs, points, [new(1, board, [], [], [])], [])
            : kinds.Select(kind => (Kind: kind, Taken: channels)).Append((Kind: kinds[^1], Taken: alike))
                .Select(way => Of(board, inputs, points, [.. points.Select(way.Kind)], way.Taken)).OfType<ClipPasses>()
                .MinBy(passes => (passes.Passes.Sum(pass => pass.Moves.Count(move => move.ChangesResistors)), passes.Split.Length, passes.Passes.Length))!;
    }

    /// <summary>One lead may go to both points as it is.</summary>
    internal static bool TakeTheSame(TestPoint one, TestPoint other) => Resistors(one) == Resistors(other);

    private static (Divider? Divider, Ohms? Series) Resistors(TestPoint point) => (point.Divider, point.Divider is null ? point.Series : null);

    private static bool ReadsVolts(TestPoint point) => !SimulatedAdapter.IsDigitalName(point.AdapterPin!);

    /// <summary>Null where there are too few leads for these kinds, or too few inputs that read voltages.</summary>
    /// <param name="taken">Points that are taken up together.</param>
    private static ClipPasses? Of(Board board, int inputs, ImmutableArray<TestPoint> points, ImmutableArray<object> kinds, ImmutableArray<ImmutableArray<int>> taken)
    {
        var known = kinds.Distinct().ToList();
        if (new PassPlanner([.. kinds.Select(known.IndexOf)], taken).Plan(inputs) is not { } plan || EndsOf(points, kinds, plan.Passes[0].Points) is not { } ends)
            return null;
        TestPoint At(int lead, int point) => points[point] with { AdapterPin = ends[lead].AdapterPin, Through = ends[lead].Through };
        var split = board.Channels.Where(channel => channel.Stages.Any(stage => IndexOf(points, stage) >= 0)).ToList();
        var passes = ImmutableArray.CreateBuilder<ClipPass>();
        foreach (var pass in plan.Passes)
        {
            ImmutableArray<TestPoint> clips = [.. pass.Points.Select((point, lead) => At(lead, point))];
            ImmutableArray<Channel> whole = [.. split.Where(channel => channel.Stages.Select(stage => IndexOf(points, stage)).All(point => point < 0 || pass.Points.Contains(point)))];
            split.RemoveAll(whole.Contains);
            passes.Add(new(
                passes.Count + 1, With(board, points, clips), clips, [.. pass.Moves.Select(move => new ClipMove(At(move.Lead, move.From), At(move.Lead, move.To)))], whole));
        }
        return new(board, inputs, points, passes.ToImmutable(), [.. split]);
    }

    private static int IndexOf(ImmutableArray<TestPoint> points, Stage stage) => points.IndexOf(points.FirstOrDefault(point => point.Name == stage.OutputName)!);

    /// <summary>
    /// For each lead the point of the profile whose adapter pin it takes: that of its own first point, unless it will read voltages and that pin does not; then one that no lead has. Null where there is none.
    /// </summary>
    private static ImmutableArray<TestPoint>? EndsOf(ImmutableArray<TestPoint> points, ImmutableArray<object> kinds, ImmutableArray<int> first)
    {
        bool Reads(object kind) => points.Where((_, point) => kinds[point].Equals(kind)).Any(ReadsVolts);
        bool Suits(TestPoint end, int point) => ReadsVolts(end) || !Reads(kinds[point]);
        var spare = new Queue<TestPoint>(points.Where((point, index) => ReadsVolts(point) && !first.Contains(index)));
        var ends = ImmutableArray.CreateBuilder<TestPoint>();
        foreach (var point in first)
        {
            if (Suits(points[point], point))
                ends.Add(points[point]);
            else if (spare.TryDequeue(out var other))
                ends.Add(other);
            else
                return null;
        }
        return ends.ToImmutable();
    }

    private static Board With(Board board, ImmutableArray<TestPoint> turns, ImmutableArray<TestPoint> clips) => RovingBoard.Rewire(
        board, point => clips.FirstOrDefault(clip => clip.Name == point.Name) ?? (turns.Any(turn => turn.Name == point.Name) ? RovingBoard.WithoutLead(point) : point), null);
}
