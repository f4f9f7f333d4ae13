using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// Leads that may be anywhere, beside those of <see cref="BoardFaults"/>, where a clip only slips to a neighbour: while somebody has just wired all of them, two may be exchanged however far they are from each
/// other, and those of lines too.
/// </summary>
public static class LeadsAnywhere
{
    public static ImmutableArray<BoardFault> Of(Board board)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var leads = board.TestPoints.Where(point => point.AdapterPin is { } pin && !lines.Contains(pin)).Select(point => point.Name).ToList();
        var driven = board.Channels.DistinctBy(channel => channel.Line).ToList();
        return
        [
            .. Pairs(leads).SelectMany(pair => Of(board, pair.One, pair.Other, BothLeads(pair.One, pair.Other), FaultOdds.LeadsExchangedAfar)),
            .. Pairs(driven).SelectMany(pair => Of(
                board, pair.One.DrivenAt.Name, pair.Other.DrivenAt.Name, $"leads of lines {pair.One.Line.Name} and {pair.Other.Line.Name}", FaultOdds.LeadsExchanged)),
        ];
    }

    /// <summary>
    /// Of these, those that a sweep gives reason to think of: where a point of one channel follows another's line, its lead may be at any point of that channel, or exchanged with the lead there.
    /// </summary>
    public static ImmutableArray<BoardFault> Crossed(Board board, IReadOnlyCollection<Seen> seen)
    {
        var sensed = board.TestPoints.Where(point => point.AdapterPin is not null).Select(point => point.Name).ToList();
        IEnumerable<string> PointsOf(Channel channel) => channel.Stages.Select(stage => stage.OutputName).Where(sensed.Contains);
        var crossings =
            from one in seen
            where one.Sight.Kind == SightKind.Trace && !TraceOutcomes.IsRestless(one.Outcome) && !TraceOutcomes.IsOneLevel(1u << one.Outcome)
            let commanded = board.Channels.FirstOrDefault(channel => channel.Name == one.Sight.Channel)
            where commanded is not null && !commanded.Owns(one.Sight.Point) && board.Channels.Any(channel => PointsOf(channel).Contains(one.Sight.Point))
            select (one.Sight.Point, Commanded: commanded);
        return
        [
            .. crossings
                .SelectMany(crossing => PointsOf(crossing.Commanded).Select(other => (One: crossing.Point, Other: other)))
                .Select(pair => sensed.IndexOf(pair.One) < sensed.IndexOf(pair.Other) ? pair : (One: pair.Other, Other: pair.One))
                .Distinct()
                .SelectMany(pair => Of(board, pair.One, pair.Other, BothLeads(pair.One, pair.Other), FaultOdds.LeadsExchangedAfar)),
        ];
    }

    private static string BothLeads(string one, string other) => $"leads at {one} and {other}";

    private static IEnumerable<BoardFault> Of(Board board, string one, string other, string both, double odds)
    {
        ImmutableArray<string> owners = [.. BoardFaults.Owners(board, one).Union(BoardFaults.Owners(board, other))];
        yield return new(both, FaultMode.LeadOpen, BoardFault.Exchanged, [$"lead:{one}+{other}=swapped"], odds, owners) { Between = [one, other] };
        yield return new($"lead at {one}", FaultMode.LeadOpen, $"clipped to {other}", [$"lead:{one}=at-{other}"], odds, owners) { Between = [one, other] };
        yield return new($"lead at {other}", FaultMode.LeadOpen, $"clipped to {one}", [$"lead:{other}=at-{one}"], odds, owners) { Between = [other, one] };
    }

    private static IEnumerable<(T One, T Other)> Pairs<T>(List<T> all) => all.SelectMany((one, place) => all.Skip(place + 1).Select(other => (one, other)));
}
