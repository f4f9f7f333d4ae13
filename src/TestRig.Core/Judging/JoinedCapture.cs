using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>
/// Puts what was seen in repeats of one exercise, each with other test points behind the multiplexers, on the time axis of one of them.
/// </summary>
/// <remarks>
/// A command's edge does not come at the same instant in each repeat: the device's own step may be late by some looks. So what a repeat shows counts from the edge
/// in its own capture, and its intervals grow by those of both edges: they still contain the true instants.
/// </remarks>
internal static class JoinedCapture
{
    /// <exception cref="ArgumentException">A capture does not show the drive line.</exception>
    public static Capture Onto(int reference, Exercise exercise, ImmutableArray<Capture> captures)
    {
        var axis = captures[reference];
        if (captures.Length == 1)
            return axis;
        var (signals, levels, gaps) = (axis.Signals.ToBuilder(), axis.Levels.ToBuilder(), axis.Gaps.ToBuilder());
        var names = axis.Signals.Select(signal => signal.Name).ToHashSet();
        foreach (var other in captures.RemoveAt(reference))
        {
            var shift = new Shift(CommandEdges.Find(exercise, axis), CommandEdges.Find(exercise, other));
            foreach (var signal in other.Signals.Where(signal => names.Add(signal.Name)))
                signals.Add(signal with { Changes = [.. signal.Changes.Select(shift.Of)] });
            // A repeat for a stamp may read no voltages: those of another one are its own.
            var unread = other.Levels.Select(level => level.Signal).Distinct().Where(name => axis.Find(name) is null || levels.All(known => known.Signal != name)).ToHashSet();
            foreach (var level in other.Levels.Where(level => unread.Contains(level.Signal)))
                levels.Add(level with { At = shift.Of(level.At) });
            foreach (var gap in other.Gaps)
                gaps.Add(gap with { From = shift.Of(gap.From), To = shift.Of(gap.To) });
        }
        return axis with
        {
            Signals = signals.ToImmutable(),
            Levels = levels.ToImmutable(),
            Gaps = Merged(gaps),
            End = signals.SelectMany(signal => signal.Changes).Select(change => change.NotAfter).Concat(captures.Select(capture => capture.End)).Max(),
            Ending = captures.Select(capture => capture.Ending).FirstOrDefault(ending => ending.Outcome != CaptureOutcome.Complete) ?? axis.Ending,
        };
    }

    /// <summary>Gaps of one reason that touch are one.</summary>
    private static ImmutableArray<Gap> Merged(IEnumerable<Gap> gaps)
    {
        var merged = new List<Gap>();
        foreach (var gap in gaps.OrderBy(gap => gap.Reason).ThenBy(gap => gap.From))
        {
            if (merged.Count > 0 && merged[^1] is var last && last.Reason == gap.Reason && gap.From <= last.To)
                merged[^1] = last with { To = Instant.Max(last.To, gap.To) };
            else
                merged.Add(gap);
        }
        return [.. merged.OrderBy(gap => gap.From)];
    }

    /// <summary>From one repeat's axis to another's: by the difference of the edges, each side of the second edge by its own.</summary>
    private sealed class Shift(CommandEdges to, CommandEdges from)
    {
        private readonly (Duration By, Duration Wider) _on = Between(to.On, from.On);
        private readonly (Duration By, Duration Wider) _off = Between(to.Off, from.Off);

        public Instant Of(Instant instant) => Instant.Max(Instant.Start, instant + For(instant).By);

        public Change Of(Change change)
        {
            var (by, wider) = For(change.NotAfter);
            return change with { After = Instant.Max(Instant.Start, change.After + by - wider), NotAfter = change.NotAfter + by + wider };
        }

        private (Duration By, Duration Wider) For(Instant instant) => instant > from.Off.From ? _off : _on;

        private static (Duration By, Duration Wider) Between(CommandEdge to, CommandEdge from) =>
            to.Change is { } target && from.Change is { } source ? (target.Estimate - source.Estimate, new((source.Width.Picoseconds + target.Width.Picoseconds + 1) / 2)) : (Duration.Zero, Duration.Zero);
    }
}
