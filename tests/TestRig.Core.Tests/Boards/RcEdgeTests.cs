using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

/// <summary>Identities of the exponential edge (any text on circuits), in units of RC.</summary>
public sealed class RcEdgeTests
{
    private static readonly Duration Constant = RcEdge.TimeConstant(new(10_000), new(100e-12));

    private static double Crossing(double from, double to, double threshold) =>
        RcEdge.Crossing(Constant, new(from), new(to), new(threshold))!.Value.ToSeconds() / Constant.ToSeconds();

    [Fact]
    public void The_time_constant_is_the_product() => Assert.Equal(Duration.FromMicroseconds(1), Constant);

    [Theory]
    [InlineData(0.1, 0.9, 2.197225)] // ln 9
    [InlineData(0.2, 0.8, 1.386294)] // ln 4
    [InlineData(0.0, 0.5, 0.693147)] // ln 2
    public void A_rise_from_one_share_to_another_takes_the_published_time(double from, double to, double expected) =>
        Assert.Equal(expected, Crossing(0, 1, to) - Crossing(0, 1, from), 5);

    /// <summary>TTL limits on an edge between 0 V and 5 V.</summary>
    [Theory]
    [InlineData(0, 5, 0.8, 0.174353)]
    [InlineData(0, 5, 2.0, 0.510826)]
    [InlineData(5, 0, 2.0, 0.916291)]
    [InlineData(5, 0, 0.8, 1.832581)]
    public void An_edge_crosses_the_limits_of_TTL_at_the_published_times(double from, double to, double threshold, double expected) =>
        Assert.Equal(expected, Crossing(from, to, threshold), 5);

    [Fact]
    public void It_is_undefined_for_ln_1_4() => Assert.Equal(0.336472, Crossing(0, 5, 2.0) - Crossing(0, 5, 0.8), 5);

    [Theory]
    [InlineData(0, 5, 5)] // only for ever
    [InlineData(0, 5, 6)]
    [InlineData(0, 5, -1)]
    [InlineData(5, 5, 5)]
    public void A_threshold_that_the_edge_never_crosses_has_no_time(double from, double to, double threshold) =>
        Assert.Null(RcEdge.Crossing(Constant, new(from), new(to), new(threshold)));
}
