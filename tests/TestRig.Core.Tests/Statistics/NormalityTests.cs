using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

public class NormalityTests
{
    // Lilliefors, JASA 62 (1967) 399-402, table 1, 5 % column (values from memory): computed there by simulation, so within 0.004.
    [Theory]
    [InlineData(10, 0.258)]
    [InlineData(20, 0.190)]
    [InlineData(30, 0.161)]
    public void The_critical_distance_is_that_of_Lilliefors_table(int number, double expected) => Assert.InRange(NormalityTest.CriticalDistance(number), expected - 0.004, expected + 0.004);

    /// <summary>
    /// By hand: 1, 2, 3, 4 have mean 2.5 and s = √(5/3) = 1.29099, so z = ∓1.16190, ∓0.38730, with Φ = 0.12264, 0.34927, 0.65073, 0.87736 (any table). The steps of their own distribution lie at 0.25,
    /// 0.5, 0.75: the largest distance is 0.5 − 0.34927.
    /// </summary>
    [Fact]
    public void The_distance_is_the_largest_between_the_steps_and_the_normal_curve()
    {
        Assert.Equal(0.15073, NormalityTest.Distance([3, 1, 4, 2], 0), 5);
        Assert.True(NormalityTest.MayBeNormal([3, 1, 4, 2], 0));
    }

    /// <summary>By hand: nine times 0 and once 10 have mean 1 and s = √10, so F(0) = Φ(−0.31623) = 0.37592, while nine tenths of them are there.</summary>
    [Fact]
    public void One_far_value_among_equal_ones_is_not_normal_unless_rounding_made_it()
    {
        double[] values = [0, 0, 0, 0, 0, 0, 0, 0, 0, 10];
        Assert.Equal(0.9 - 0.37592, NormalityTest.Distance(values, 0), 0.00001);
        Assert.False(NormalityTest.MayBeNormal(values, 0));
        // Each of them may stand for anything 10 to either side.
        Assert.True(NormalityTest.MayBeNormal(values, 10));
    }
}
