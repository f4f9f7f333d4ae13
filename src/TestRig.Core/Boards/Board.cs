using System.Collections.Immutable;

namespace TestRig.Core.Boards;

/// <summary>The thing under test, as its profile describes it. Valid by construction: the loader has checked every reference.</summary>
/// <param name="KeptApart">Pairs of lines that must never be on together.</param>
/// <param name="Cautions">What the profile's author wants said before anything is driven.</param>
public sealed record Board(
    string Name,
    ImmutableArray<Supply> Supplies,
    ImmutableArray<Part> Parts,
    ImmutableArray<Line> Lines,
    ImmutableArray<TestPoint> TestPoints,
    ImmutableArray<(Line First, Line Second)> KeptApart,
    ImmutableArray<StopInput> Stops,
    ImmutableArray<Channel> Channels,
    ImmutableArray<string> Cautions)
{
    /// <summary>True when any line can move something.</summary>
    public bool Moves => Lines.Any(line => line.Motion);

    /// <summary>Grounds that are isolated from a supply's; none on a board without isolation.</summary>
    public ImmutableArray<Ground> Grounds { get; init; } = [];

    /// <summary>The board's own controller and how it is disabled; null where the profile does not say.</summary>
    public Controller? Controller { get; init; }

    /// <summary>Between test points and adapter inputs; none where each has a pin of its own.</summary>
    public ImmutableArray<Multiplexer> Multiplexers { get; init; } = [];

    /// <summary>The socket that this is, where isolators are tried in one; null for any other board.</summary>
    public Socket? Socket { get; init; }

    /// <summary>What recordings made by other instruments call its points.</summary>
    public RecordedNames Recordings { get; init; } = RecordedNames.None;

    /// <summary>How many lines may be on at the same time; null when the profile does not say, and then it is one.</summary>
    public int? LinesOnTogether { get; init; }

    /// <summary>The same with other lines, wherever it refers to them.</summary>
    public Board WithLines(Func<Line, Line> map) => this with
    {
        Lines = [.. Lines.Select(map)],
        KeptApart = [.. KeptApart.Select(pair => (map(pair.First), map(pair.Second)))],
        Stops = [.. Stops.Select(stop => stop with { Lines = [.. stop.Lines.Select(map)] })],
        Channels = [.. Channels.Select(channel => channel with { Line = map(channel.Line) })],
    };

    /// <summary>The same with one test point, declared or not, as it is given here.</summary>
    public Board WithTestPoint(TestPoint point) => this with
    {
        TestPoints = [.. TestPoints.Where(other => other.Name != point.Name), point],
        Channels = [.. Channels.Select(channel => channel with
        {
            Stages = [.. channel.Stages.Select(stage => stage.OutputName == point.Name ? stage with { Output = point } : stage)],
        })],
    };
}
