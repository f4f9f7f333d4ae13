using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;

namespace TestRig.Bench.Plotting;

/// <summary>Which stages of which channels work: a row a channel, from the command through every stage to what moves.</summary>
/// <param name="Verdict">Of the whole board.</param>
/// <param name="Origin">When it was swept, and through what.</param>
public sealed record BoardMap(string Board, bool Simulated, bool AllGood, string Verdict, string Origin, ImmutableArray<MapRow> Rows)
{
    public static BoardMap Of(SweepResult result) => new(
        result.Board.Name, result.Adapter.IsSimulated, result is { AnyFaulty: false, Incomplete: false }, Words.Verdict(result),
        string.Create(CultureInfo.InvariantCulture, $"{result.Started:yyyy-MM-dd HH:mm:ss zzz}  ·  {Words.Adapter(result.Adapter)}"),
        [.. result.Channels.Select(Row)]);

    private static MapRow Row(ChannelResult channel) => new(
        channel.Channel.Name, channel.Condition,
        channel.Capture is { } capture ? [.. new PanelComposer(channel, capture).Compose().Select(panel => new MapPlace(panel.Name, panel.What.Split(',')[0], panel.Standing))] : [],
        channel.Summary);
}

/// <param name="Places">In path order; none of a channel that was not exercised.</param>
/// <param name="Summary">The judge's own.</param>
public sealed record MapRow(string Channel, Condition Condition, ImmutableArray<MapPlace> Places, string Summary);

/// <param name="Point">"OK3.5".</param>
/// <param name="What">What drives it: "OK3 4N25".</param>
public sealed record MapPlace(string Point, string What, PanelStanding Standing);
