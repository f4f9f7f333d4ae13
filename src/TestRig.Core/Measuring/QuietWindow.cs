using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Measuring;

/// <summary>
/// A debouncer that starts its window again at every edge: a level is taken when it has lasted for the whole window (common practice in the firmware of machines; J. Ganssle, "A Guide to
/// Debouncing", describes its kind).
/// </summary>
/// <param name="Window">Above zero. An edge that comes when the window has just passed comes too late to stop it.</param>
public sealed record QuietWindow(Duration Window)
{
    /// <summary>The changes that such a debouncer takes.</summary>
    /// <param name="before">The level that it has taken before the first change.</param>
    /// <param name="changes">In order; levels alternate.</param>
    /// <param name="end">Until when the contact was watched: what would be taken later is <see cref="TakenChanges.Pending"/>.</param>
    public TakenChanges Take(Level before, ImmutableArray<Change> changes, Instant end)
    {
        var taken = ImmutableArray.CreateBuilder<TakenChange>();
        var level = before;
        for (var i = 0; i < changes.Length; i++)
        {
            var due = changes[i].Estimate + Window;
            if (changes[i].Level == level || (i + 1 < changes.Length && changes[i + 1].Estimate < due))
                continue;
            if (due > end)
                return new(taken.ToImmutable(), Pending: true);
            level = changes[i].Level;
            taken.Add(new(due, level));
        }
        return new(taken.ToImmutable(), Pending: false);
    }

    /// <summary>Changes that belong together: each less than a window behind the one before.</summary>
    public ImmutableArray<ImmutableArray<Change>> Events(ImmutableArray<Change> changes)
    {
        var events = ImmutableArray.CreateBuilder<ImmutableArray<Change>>();
        var start = 0;
        for (var i = 1; i <= changes.Length; i++)
        {
            if (i < changes.Length && changes[i].Estimate - changes[i - 1].Estimate < Window)
                continue;
            events.Add(changes[start..i]);
            start = i;
        }
        return events.ToImmutable();
    }

    /// <summary>False when the time between two edges is so near to the window that what was measured does not tell which of them is longer.</summary>
    /// <param name="clockTolerance">Of the clock that measured, as a fraction.</param>
    public bool IsTold(ImmutableArray<Change> changes, double clockTolerance)
    {
        for (var i = 1; i < changes.Length; i++)
        {
            var apart = MeasuredDelay.Between(changes[i - 1], changes[i], clockTolerance);
            if (apart.Value - apart.ExpandedUncertainty < Window && Window <= apart.Value + apart.ExpandedUncertainty)
                return false;
        }
        return true;
    }
}

/// <summary>A change as a debouncer takes it.</summary>
/// <param name="At">When the window had passed.</param>
public readonly record struct TakenChange(Instant At, Level Level);

/// <summary>What a debouncer took.</summary>
/// <param name="Pending">True when a window still ran at the end: one more may come.</param>
public sealed record TakenChanges(ImmutableArray<TakenChange> Changes, bool Pending);
