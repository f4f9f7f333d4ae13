using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>What one test point did lately, in bounded room: its changes, and the stretches in which its level is not known.</summary>
internal sealed class PointHistory(string point)
{
    /// <summary>More changes than that in one exercise are not kept, and the rest of it is not judged. The reference firmware keeps 480.</summary>
    public const int MostChanges = 16_384;

    private readonly List<Change> _changes = [];
    private readonly List<(Instant From, Instant To)> _unknown = [];
    private Level? _initial;
    private Level? _last;
    private (Instant After, Instant From)? _unknownSince = (Instant.Start, Instant.Start);
    private Instant? _fullAt;

    public string Point => point;

    /// <summary>Null while it is not known.</summary>
    public Level? Level => _unknownSince is null ? _last : null;

    /// <summary>False as long as its level was known at no time.</summary>
    public bool WasKnown => _last is not null;

    public int Count => _changes.Count + _unknown.Count;

    /// <summary>It has this level now, null for an unknown one; if that is another one than before, it changed in (after, at].</summary>
    /// <returns>The change; null where there was none, or none that can be told.</returns>
    public Change? Set(Level? level, Instant after, Instant at)
    {
        if (level is not { } known)
        {
            _unknownSince ??= (after, at);
            return null;
        }
        var since = _unknownSince;
        if (since is null && known == _last)
            return null;
        if (since is var (before, from))
        {
            if (_last is not null)
                after = Instant.Min(after, before);
            if (from < at && HasRoom(at))
                _unknown.Add((from, at));
            _unknownSince = null;
        }
        var change = new Change(after, at, known);
        if (_last is null)
            _initial = known;
        else if (known == _last)
            return null;
        else if (HasRoom(at))
            _changes.Add(change);
        var first = _last is null;
        _last = known;
        return first ? null : change;
    }

    /// <summary>Forgets what was before an instant, as far as nobody needs it.</summary>
    public void Forget(Instant before)
    {
        var gone = 0;
        while (gone < _changes.Count && _changes[gone].NotAfter <= before)
            gone++;
        if (gone > 0)
        {
            _initial = _changes[gone - 1].Level;
            _changes.RemoveRange(0, gone);
        }
        _unknown.RemoveAll(stretch => stretch.To <= before);
        if (_fullAt is { } full && full <= before)
        {
            _fullAt = null;
            _initial = _last;
        }
    }

    /// <summary>What is known of it from one instant to another, on a time axis that begins at the first; null where its level was known at no time of it.</summary>
    public (Signal Signal, ImmutableArray<Gap> Gaps)? Between(Instant from, Instant to)
    {
        if (_initial is not { } initial)
            return null;
        var shift = from - Instant.Start;
        var changes = ImmutableArray.CreateBuilder<Change>();
        foreach (var change in _changes)
        {
            if (change.NotAfter <= from)
                initial = change.Level;
            else if (change.NotAfter <= to)
                changes.Add(change with { After = Instant.Max(Instant.Start, change.After - shift), NotAfter = change.NotAfter - shift });
        }
        var gaps = ImmutableArray.CreateBuilder<Gap>();
        foreach (var (unknownFrom, unknownTo) in _unknownSince is var (_, since) ? _unknown.Append((since, to)) : _unknown)
            AddGap(unknownFrom, unknownTo, GapReason.NotRecorded);
        if (_fullAt is { } full)
            AddGap(full, to, GapReason.NoRoomForChanges);
        return gaps.Any(gap => gap.From == Instant.Start && gap.To == to - shift) ? null : (new(point, initial, changes.ToImmutable()), gaps.ToImmutable());

        void AddGap(Instant start, Instant end, GapReason reason)
        {
            if (start < to && from < end)
                gaps.Add(new(Instant.Max(from, start) - shift, Instant.Min(to, end) - shift, reason));
        }
    }

    private bool HasRoom(Instant at)
    {
        if (_fullAt is null && Count >= MostChanges)
            _fullAt = at;
        return _fullAt is null;
    }
}
