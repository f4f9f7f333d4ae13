using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// What one sweep of a board tells, as sets of outcomes: what each sight showed, what the adapter cannot tell from that, and what would be chance the next time. What is read of a point that does not settle
/// is chance. A digital input takes a voltage in the undefined region for either level, and may change its mind. A pin that nothing drives floats to any level.
/// </summary>
public static class SightSets
{
    public static IReadOnlyDictionary<Sight, uint> Of(IReadOnlyCollection<Seen> seen)
    {
        var sets = new Dictionary<Sight, uint>(seen.Count + (seen.Count / 4));
        foreach (var one in seen)
            sets[one.Sight] = one.Sight.Kind == SightKind.Trace && TraceOutcomes.IsRestless(one.Outcome) ? TraceOutcomes.Restless : one.Possible;
        var restless = seen.Where(one => one.Sight.Kind == SightKind.Trace && TraceOutcomes.IsRestless(one.Outcome)).Select(one => one.Sight.Point).ToHashSet();
        foreach (var one in seen)
        {
            switch (one.Sight.Kind)
            {
                case SightKind.Trace:
                    AddChanceOf(one, sets, restless.Contains(one.Sight.Point));
                    break;
                case SightKind.VoltageOn when one.Outcome == ChannelSights.UndefinedVoltage:
                    Widen(sets, one.Sight with { Kind = SightKind.Trace }, TraceOutcomes.WithEitherDuring);
                    break;
                case SightKind.VoltageOff when one.Outcome == ChannelSights.UndefinedVoltage:
                    Widen(sets, one.Sight with { Kind = SightKind.Trace }, TraceOutcomes.WithEitherBeside);
                    AddEitherLevel(one.Sight.Point, seen, sets);
                    break;
                case SightKind.Lead when one.Outcome == ChannelSights.FollowingLead:
                    AddEitherLevel(one.Sight.Point, seen, sets);
                    break;
            }
        }
        return sets;
    }

    /// <summary>Whether an answer is timed depends on its trace, which tells that already.</summary>
    /// <param name="restless">The point does not settle, in this exercise or in another: a loop that swings once may have found its balance the next time.</param>
    private static void AddChanceOf(Seen trace, Dictionary<Sight, uint> sets, bool restless)
    {
        foreach (var kind in new[] { SightKind.DelayOn, SightKind.DelayOff })
        {
            var delay = trace.Sight with { Kind = kind };
            if (restless || !sets.ContainsKey(delay))
                sets[delay] = Forecast.Anything;
        }
        if (!restless)
            return;
        if (!TraceOutcomes.IsRestless(trace.Outcome))
            sets[trace.Sight] = Forecast.Anything;
        foreach (var sight in new[] { trace.Sight with { Kind = SightKind.VoltageOn }, trace.Sight with { Kind = SightKind.VoltageOff }, Sight.Beside(trace.Sight.Point, SightKind.Idle) })
            Widen(sets, sight, _ => Forecast.Anything);
    }

    /// <summary>A point that floats, or is undefined while its line is off, may stay at either level through every exercise.</summary>
    private static void AddEitherLevel(string point, IEnumerable<Seen> seen, Dictionary<Sight, uint> sets)
    {
        foreach (var trace in seen.Where(other => other.Sight.Point == point && other.Sight.Kind == SightKind.Trace))
            Widen(sets, trace.Sight, outcomes => TraceOutcomes.IsOneLevel(outcomes) ? TraceOutcomes.AnyOneLevel : outcomes);
        Widen(sets, Sight.Beside(point, SightKind.Idle), _ => Forecast.Anything);
    }

    private static void Widen(Dictionary<Sight, uint> sets, Sight sight, Func<uint, uint> widened)
    {
        if (sets.TryGetValue(sight, out var outcomes))
            sets[sight] = widened(outcomes);
    }
}
