using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Probing;

/// <summary>
/// A board with hardly any leads: those of lines, those that safety rests on (supplies, the controller, stop inputs), with motion those of the machine's feedback, and one that roves.
/// </summary>
/// <param name="Bench">The whole board with those leads.</param>
/// <param name="Driven">What of it is driven and looked at: one channel, with motion the one that undoes it too.</param>
internal sealed record RovingBoard(Board Bench, Board Driven)
{
    /// <summary>Test points whose leads stay where they are, by name.</summary>
    public static ImmutableHashSet<string> PointsThatStay(Board board) =>
    [
        .. board.TestPoints
            .Where(point => point.AdapterPin is not null
                && (board.Supplies.Any(supply => supply.SensedAt == point) || board.Stops.Any(stop => stop.Point == point) || board.Controller?.SensedAt == point))
            .Select(point => point.Name),
    ];

    /// <summary>Adapter pins that are taken by leads that stay.</summary>
    public static ImmutableHashSet<string> PinsThatStay(Board board, Channel channel, ExerciseMode mode) => Exercising.AdapterPins.Of(With(board, channel, mode, null).Bench);

    /// <param name="touched">Where the roving lead is; null while it is nowhere.</param>
    public static RovingBoard With(Board board, Channel channel, ExerciseMode mode, ProbePoint? touched)
    {
        ImmutableArray<Channel> channels = mode == ExerciseMode.Motion && board.Channels.FirstOrDefault(other => other.Name == channel.UndoneBy) is { } back ? [channel, back] : [channel];
        var stay = PointsThatStay(board)
            .Union(board.Channels.Select(other => other.DrivenAt.Name))
            .Union(mode == ExerciseMode.Motion ? channels.SelectMany(other => other.Feedback).Select(feedback => feedback.Point.Name) : []);
        TestPoint Rewired(TestPoint point) => point.Name == touched?.Name ? touched.Point : stay.Contains(point.Name) ? point : WithoutLead(point);
        var bench = Rewire(board, Rewired, touched?.Point);

        ImmutableArray<Line> lines = [.. channels.Select(other => other.Line).Distinct()];
        var others = board.Lines.Except(lines).Select(line => line.AdapterPin).ToHashSet();
        var driven = Rewire(bench, point => point.AdapterPin is { } pin && others.Contains(pin) ? WithoutLead(point) : point, null) with { Lines = lines };
        return new(bench, driven with
        {
            Channels = [.. driven.Channels.Where(other => channels.Any(one => one.Name == other.Name))],
            KeptApart = [.. board.KeptApart.Where(pair => lines.Contains(pair.First) && lines.Contains(pair.Second))],
            Stops = [.. driven.Stops.Select(stop => stop with { Lines = [.. stop.Lines.Where(lines.Contains)] }).Where(stop => !stop.Lines.IsEmpty)],
        });
    }

    internal static TestPoint WithoutLead(TestPoint point) => point with { AdapterPin = null, Through = null };

    /// <summary>The same board with other leads at its test points, wherever it refers to them; multiplexers through which none goes are gone.</summary>
    /// <param name="added">A point that the profile may not have declared; null for none.</param>
    internal static Board Rewire(Board board, Func<TestPoint, TestPoint> map, TestPoint? added)
    {
        Supply Supplied(Supply supply) => supply with { SensedAt = supply.SensedAt is { } sensed ? map(sensed) : null };
        Stage Staged(Stage stage) => stage with { Output = stage.OutputName == added?.Name ? added : stage.Output is { } output ? map(output) : null };
        ImmutableArray<TestPoint> points = [.. board.TestPoints.Select(map), .. added is not null && board.TestPoints.All(point => point.Name != added.Name) ? [added] : ImmutableArray<TestPoint>.Empty];
        return board with
        {
            Multiplexers = [.. board.Multiplexers.Where(multiplexer => points.Any(point => point.Through?.Multiplexer == multiplexer))],
            Supplies = [.. board.Supplies.Select(Supplied)],
            Controller = board.Controller is { SensedAt: { } sensed } controller ? controller with { SensedAt = map(sensed) } : board.Controller,
            TestPoints = points,
            Stops = [.. board.Stops.Select(stop => stop with { Point = map(stop.Point) })],
            Channels =
            [
                .. board.Channels.Select(channel => channel with
                {
                    DrivenAt = map(channel.DrivenAt),
                    Stages = [.. channel.Stages.Select(Staged)],
                    Feedback = [.. channel.Feedback.Select(feedback => feedback with { Point = map(feedback.Point) })],
                }),
            ],
        };
    }
}
