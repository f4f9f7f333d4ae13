using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Injecting;

/// <summary>A board with a transistor at one of its nets, as one more line: a channel that begins at that net.</summary>
/// <param name="Bench">The whole board, and the transistor with its line beside it.</param>
/// <param name="Driven">What of it is driven and looked at: the channel from the net on, with motion the one that undoes it too. All other lines are left alone.</param>
/// <param name="Channel">That channel, in <paramref name="Driven"/>.</param>
internal sealed record InjectedBoard(Board Bench, Board Driven, Channel Channel)
{
    /// <param name="pin">The adapter pin that the transistor is wired to.</param>
    public static InjectedBoard Of(Board board, Injection injection, string pin, ExerciseMode mode)
    {
        var (original, name) = (injection.Channel, $"inject-{injection.Net}");
        var line = original.Line with { Name = name, AdapterPin = pin, Idle = Level.Low, IdlesBy = "the resistor from its gate to its source", Hold = null, Series = Line.UsualSeries };
        var gate = new TestPoint(name, pin, null, null);
        var transistor = new PullTransistor($"transistor at {injection.Net}", injection.Supply, injection.Series);
        var back = mode == ExerciseMode.Motion ? board.Channels.FirstOrDefault(other => other.Name == original.UndoneBy) : null;
        var channel = original with
        {
            Name = $"{original.Name} from {injection.Net}",
            Line = line,
            DrivenAt = gate,
            Stages = [StageModel.Of(transistor, injection.Pulled), .. injection.Behind],
            UndoneBy = back?.Name,
        };
        // A pin that serves the transistor serves no line of the board meanwhile: its lead is off.
        var bench = Without(board, point => point.AdapterPin == pin) with
        {
            Lines = [.. board.Lines.Where(other => other.AdapterPin != pin), line],
            Parts = board.Parts.Add(transistor),
        };
        bench = bench with { TestPoints = bench.TestPoints.Add(gate) };
        // What the motion gives back belongs to the channel that the board has.
        var beside = bench with { Channels = bench.Channels.Add(channel with { Feedback = [], UndoneBy = null }) };
        return new(beside, DrivenOf(bench, original, channel, back), channel);
    }

    private static Board DrivenOf(Board bench, Channel original, Channel channel, Channel? back)
    {
        ImmutableArray<Line> lines = back is null ? [channel.Line] : [channel.Line, back.Line];
        var others = bench.Lines.Except(lines).Select(line => line.AdapterPin).ToHashSet();
        Line? As(Line line) => line == original.Line ? channel.Line : lines.Contains(line) ? line : null;
        return Without(bench, point => point.AdapterPin is { } pin && others.Contains(pin)) with
        {
            Lines = lines,
            Channels = back is null ? [channel] : [channel, back with { UndoneBy = channel.Name }],
            KeptApart = [.. bench.KeptApart.Select(pair => (As(pair.First), As(pair.Second))).Where(pair => pair is (not null, not null)).Select(pair => (pair.Item1!, pair.Item2!))],
            Stops = [.. bench.Stops.Select(stop => stop with { Lines = [.. stop.Lines.Select(As).OfType<Line>()] }).Where(stop => !stop.Lines.IsEmpty)],
        };
    }

    /// <summary>The same board without the leads to some test points. Only lines have such leads, so no stage's output is among them.</summary>
    private static Board Without(Board board, Func<TestPoint, bool> isOff)
    {
        TestPoint Kept(TestPoint point) => isOff(point) ? point with { AdapterPin = null, Through = null } : point;
        return board with
        {
            TestPoints = [.. board.TestPoints.Select(Kept)],
            Channels = [.. board.Channels.Select(channel => channel with { DrivenAt = Kept(channel.DrivenAt) })],
        };
    }
}
