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
            .. Pairs(leads).SelectMany(pair => Of(board, pair.One, pair.Other, $"leads at {pair.One} and {pair.Other}", FaultOdds.LeadsExchangedAfar)),
            .. Pairs(driven).SelectMany(pair => Of(
                board, pair.One.DrivenAt.Name, pair.Other.DrivenAt.Name, $"leads of lines {pair.One.Line.Name} and {pair.Other.Line.Name}", FaultOdds.LeadsExchanged)),
        ];
    }

    private static IEnumerable<BoardFault> Of(Board board, string one, string other, string both, double odds)
    {
        ImmutableArray<string> owners = [.. BoardFaults.Owners(board, one).Union(BoardFaults.Owners(board, other))];
        yield return new(both, FaultMode.LeadOpen, BoardFault.Exchanged, [$"lead:{one}+{other}=swapped"], odds, owners) { Between = [one, other] };
        yield return new($"lead at {one}", FaultMode.LeadOpen, $"clipped to {other}", [$"lead:{one}=at-{other}"], odds, owners) { Between = [one, other] };
        yield return new($"lead at {other}", FaultMode.LeadOpen, $"clipped to {one}", [$"lead:{other}=at-{one}"], odds, owners) { Between = [other, one] };
    }

    private static IEnumerable<(T One, T Other)> Pairs<T>(List<T> all) => all.SelectMany((one, place) => all.Skip(place + 1).Select(other => (one, other)));
}
