using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Judging;

/// <summary>What a verdict may not depend on: the unit of time.</summary>
public class ScaledTimesTests
{
    [Theory]
    [InlineData(2)]
    [InlineData(7)]
    [InlineData(1000)]
    public void Scaling_all_times_by_the_same_factor_leaves_every_verdict_unchanged(int factor)
    {
        var random = new Random(factor);
        var seen = new HashSet<(Verdict, Timing)>();
        for (var trial = 0; trial < 5_000; trial++)
        {
            long Ticks(int most) => random.Next(1, most) * 62_500L;
            var (at, delay, causeWidth, effectWidth) = (Ticks(1000) + 100_000_000, Ticks(300), Ticks(60), Ticks(60));
            var (earliest, latest) = (Ticks(100), Ticks(300) + 6_250_000);
            var bounces = random.Next(4) == 0 ? random.Next(1, 4) : 0;
            (Verdict, Timing) Judge(long by)
            {
                var cause = new Change(new((at - causeWidth) * by), new(at * by), Level.High);
                var changes = Enumerable.Range(0, bounces + 1)
                    .Select(i => at + delay + (i * 10_000_000L))
                    .Select((to, i) => new Change(new((to - effectWidth) * by), new(to * by), i % 2 == 0 ? Level.Low : Level.High));
                var arrival = new Arrival(Level.High, [.. changes]);
                var measured = MeasuredDelay.Between(cause, arrival.Changes[0], 0.005);
                return (
                    TransitionJudge.Logic(arrival, Level.Low, [], new(at * by), new((at + latest) * by), new((at + 1_000_000_000L) * by), new ContactBounce(2, new(25_000_000 * by))),
                    TransitionJudge.Within(measured, new(earliest * by), new(latest * by)));
            }
            var plain = Judge(1);
            seen.Add(plain);
            Assert.Equal(plain, Judge(factor));
        }
        Assert.True(seen.Count >= 6, $"only {string.Join(", ", seen)}");
    }
}
