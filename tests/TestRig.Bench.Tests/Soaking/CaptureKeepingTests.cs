using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Tests.Soaking;

public class CaptureKeepingTests
{
    private const long Bytes = 1000;

    /// <summary>A whole run by the rules, with what is left of it: cycle and reason.</summary>
    private static (CaptureKeeping Keeping, SortedDictionary<long, KeepReason> Left) Run(long budget, int cycles, Func<long, bool> fails)
    {
        var keeping = new CaptureKeeping { Budget = budget };
        var left = new SortedDictionary<long, KeepReason>();
        for (var cycle = 1L; cycle <= cycles; cycle++)
        {
            if (keeping.ReasonFor(cycle, fails(cycle)) is { } reason)
            {
                keeping.Add(cycle, reason, Bytes);
                left[cycle] = reason;
            }
            Assert.InRange(keeping.Bytes, 0, budget);
            foreach (var forgotten in keeping.Forget())
                Assert.True(left.Remove(forgotten));
            Assert.Equal(left.Count * Bytes, keeping.Bytes);
        }
        return (keeping, left);
    }

    [Fact]
    public void The_first_every_failing_one_and_an_even_sample_are_kept()
    {
        var (keeping, left) = Run(1_000_000, 10_000, cycle => cycle is 500 or 501 or 9000);
        Assert.Equal(KeepReason.First, left[1]);
        Assert.Equal([500, 501, 9000], left.Where(kept => kept.Value == KeepReason.Failure).Select(kept => kept.Key));
        Assert.Equal(0, keeping.NotKept);
        var sample = left.Where(kept => kept.Value == KeepReason.Sample).Select(kept => kept.Key).ToList();
        Assert.InRange(sample.Count, 32, 64);
        var steps = sample.Zip(sample.Skip(1), (one, next) => next - one).ToList();
        Assert.InRange(sample[0], steps[0], steps[0]);
        // A sampled cycle that fails is a failing one.
        Assert.True(steps.Distinct().Count() <= 2);
    }

    [Fact]
    public void A_sampled_cycle_before_a_failure_stays_when_the_sample_thins_out()
    {
        var keeping = new CaptureKeeping { Budget = 1_000_000 };
        keeping.Add(2, KeepReason.Sample, Bytes);
        Assert.False(keeping.Stays(2));
        keeping.Add(2, KeepReason.BeforeFailure, Bytes);
        Assert.True(keeping.Stays(2));
        Assert.Equal(Bytes, keeping.Bytes);
        for (var cycle = 3; cycle < 300; cycle++)
        {
            if (keeping.ReasonFor(cycle, failing: false) is { } reason)
                keeping.Add(cycle, reason, Bytes);
            Assert.DoesNotContain(2L, keeping.Forget());
        }
    }

    [Fact]
    public void Where_room_is_short_the_sample_goes_and_failures_stay()
    {
        var (keeping, left) = Run(50 * Bytes, 1000, cycle => cycle > 100 && cycle % 20 == 0);
        Assert.Equal(45, left.Count(kept => kept.Value == KeepReason.Failure));
        Assert.Equal(0, keeping.NotKept);
    }

    [Fact]
    public void What_does_not_fit_is_counted_and_never_kept()
    {
        var (keeping, left) = Run(10 * Bytes, 200, cycle => cycle > 1);
        Assert.Equal(199, keeping.NotKept + left.Count(kept => kept.Value == KeepReason.Failure));
        Assert.InRange(left.Count, 9, 10);
    }

    [Theory]
    [InlineData(10_000, 5, 5)]
    [InlineData(3_999, 5, 2)]
    [InlineData(1_500, 5, 0)]
    [InlineData(-1, 5, 0)]
    public void Room_is_counted_in_cycles_as_large_as_the_largest(long budget, int asked, int room)
    {
        var keeping = new CaptureKeeping { Budget = budget };
        keeping.Add(1, KeepReason.First, Bytes);
        Assert.Equal(room, keeping.RoomFor(asked));
    }
}
