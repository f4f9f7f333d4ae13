using System.Collections.Immutable;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>
/// Which of two points a command passes first, from when they change: an effect never comes before its cause. Two points of one capture are compared with each other, which leaves out what is not known of the
/// command; those that were never seen together by their delays behind it.
/// </summary>
/// <param name="look">Time between two looks of the adapter; zero where it is not known.</param>
internal sealed class PointOrder(Duration look, double clockTolerance)
{
    private const int Edges = 2;

    /// <summary>Above 0 when the first is in front, below 0 when the second is, 0 when it cannot be told; null when the two edges contradict each other.</summary>
    public int? Compare(PointRecord first, PointRecord second)
    {
        var (before, after) = (false, false);
        for (var edge = 0; edge < Edges; edge++)
        {
            var (value, guard) = Difference(first, second, edge);
            before |= value - guard > Duration.Zero;
            after |= value + guard < Duration.Zero;
        }
        return before && after ? null : before ? 1 : after ? -1 : 0;
    }

    /// <summary>The longest time from one point's change to the other's, in any pulse and with all that is not known of it; at least zero.</summary>
    /// <param name="first">Null for the line itself.</param>
    public Duration Latest(PointRecord? first, PointRecord second, int edge)
    {
        var together = first is null ? [] : Together(first, second, edge);
        if (first is null || together.IsEmpty)
        {
            var end = second.Answers.Values.Max(answer => Reach(MeasuredDelay.Between(answer[edge].Command, answer[edge].Answer, clockTolerance), 1));
            return Duration.Max(Duration.Zero, first is null ? end : end - first.Answers.Values.Min(answer => Reach(MeasuredDelay.Between(answer[edge].Command, answer[edge].Answer, clockTolerance), -1)));
        }
        return Duration.Max(Duration.Zero, together.Max(difference => Reach(difference, 1)));
    }

    private static Duration Reach(MeasuredDelay delay, int sign) => delay.Value + (delay.Guard * sign);

    private ImmutableArray<MeasuredDelay> Together(PointRecord first, PointRecord second, int edge) =>
    [
        .. first.Answers.Keys.Intersect(second.Answers.Keys)
            .Select(pulse => MeasuredDelay.Between(first.Answers[pulse][edge].Answer, second.Answers[pulse][edge].Answer, clockTolerance)),
    ];

    private (Duration Value, Duration Guard) Difference(PointRecord first, PointRecord second, int edge)
    {
        var together = Together(first, second, edge);
        if (!together.IsEmpty)
        {
            var mean = Mean(together, causeIsStepped: false);
            return (mean.Value, mean.Guard);
        }
        var (one, other) = (BehindCommand(first, edge), BehindCommand(second, edge));
        return (other.Value - one.Value, other.Guard + one.Guard);
    }

    private MeasuredDelay BehindCommand(PointRecord point, int edge) =>
        Mean(point.Answers.Values.Select(answer => MeasuredDelay.Between(answer[edge].Command, answer[edge].Answer, clockTolerance)), causeIsStepped: true);

    private MeasuredDelay Mean(IEnumerable<MeasuredDelay> delays, bool causeIsStepped)
    {
        var repeats = new DelayRepeats(look, causeIsStepped);
        foreach (var delay in delays)
            repeats.Add(delay);
        return repeats.Mean;
    }
}
