using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Choosing;

/// <summary>
/// Lays out passes for channels that are taken up in a given order. A lead leaves its point when each channel that passes it was seen whole, for the point of its kind that comes next; so the leads go over the
/// channels like a window, and no point twice. Where none may leave, a channel is given up as a whole.
/// </summary>
/// <param name="order">Of the channels, each once.</param>
/// <param name="leads">For each kind, how many.</param>
/// <param name="joined">The parts of a channel that is seen in parts have a point in common where leads permit it: from there on its next stage is timed.</param>
internal sealed class PassLayout(ImmutableArray<int> kinds, ImmutableArray<ImmutableArray<int>> channels, ImmutableArray<int> order, ImmutableArray<int> leads, bool joined)
{
    private readonly HashSet<int> _seen = [];
    private readonly HashSet<int> _whole = [];
    private readonly HashSet<int> _givenUp = [];
    private readonly List<Queue<int>> _next = [];
    private readonly List<int> _at = [];

    public PassPlan Plan()
    {
        var passes = ImmutableArray.CreateBuilder<LeadPass>();
        for (var kind = 0; kind < leads.Length; kind++)
        {
            _next.Add(new(order.SelectMany(channel => channels[channel]).Distinct().Where(point => kinds[point] == kind)));
            for (var lead = 0; lead < leads[kind]; lead++)
                _at.Add(_next[kind].Dequeue());
        }
        var moves = ImmutableArray<LeadMove>.Empty;
        while (true)
        {
            foreach (var move in moves)
                _at[move.Lead] = move.To;
            _seen.UnionWith(_at);
            ImmutableArray<int> whole = [.. Enumerable.Range(0, channels.Length).Where(channel => !_whole.Contains(channel) && channels[channel].All(_at.Contains))];
            _whole.UnionWith(whole);
            passes.Add(new([.. _at], moves, whole));
            if (_next.TrueForAll(queue => queue.Count == 0))
                return new(passes.ToImmutable(), [.. Enumerable.Range(0, channels.Length).Except(_whole)]);
            while ((moves = Moves()).IsEmpty)
                GiveUp();
        }
    }

    /// <summary>As many as may be moved at once.</summary>
    private ImmutableArray<LeadMove> Moves()
    {
        var free = Enumerable.Range(0, _at.Count).Where(lead => channels.Select((points, channel) => (points, channel)).All(one => !one.points.Contains(_at[lead]) || _whole.Contains(one.channel) || _givenUp.Contains(one.channel))).ToList();
        return joined && Moves([.. free.Except(Joints())]) is { IsEmpty: false } moves ? moves : Moves(free);
    }

    private ImmutableArray<LeadMove> Moves(List<int> free)
    {
        var moves = ImmutableArray.CreateBuilder<LeadMove>();
        for (var kind = 0; kind < leads.Length; kind++)
            moves.AddRange(free.Where(lead => kinds[_at[lead]] == kind).OrderBy(PlaceOf).Zip(_next[kind], (lead, to) => new LeadMove(lead, _at[lead], to)));
        foreach (var move in moves)
            _next[kinds[move.To]].Dequeue();
        return moves.ToImmutable();
    }

    /// <summary>Where the point of a lead comes in the order of channels: the lead that is furthest behind goes first.</summary>
    private int PlaceOf(int lead) => order.TakeWhile(channel => !channels[channel].Contains(_at[lead])).Count() * kinds.Length
        + channels[order.First(channel => channels[channel].Contains(_at[lead]))].IndexOf(_at[lead]);

    /// <summary>Leads at the last point seen of a channel that is seen in parts.</summary>
    private IEnumerable<int> Joints() => _givenUp
        .Where(channel => !channels[channel].All(_seen.Contains) && channels[channel].Any(_at.Contains))
        .Select(channel => _at.IndexOf(channels[channel].Last(_at.Contains)));

    /// <summary>
    /// The channel that comes last of those that hold a lead, so that those before it stay whole; but first of all one that is too long for the leads, since that is lost anyway.
    /// </summary>
    private void GiveUp()
    {
        var holding = order.Where(channel => !_whole.Contains(channel) && !_givenUp.Contains(channel) && channels[channel].Any(_at.Contains)).ToList();
        var tooLong = holding.FindAll(channel => channels[channel].GroupBy(point => kinds[point]).Any(kind => kind.Count() > leads[kind.Key]));
        _givenUp.Add(tooLong.Count > 0 ? tooLong[0] : holding[^1]);
    }
}
