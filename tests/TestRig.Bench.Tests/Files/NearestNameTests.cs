using TestRig.Bench.Files;

namespace TestRig.Bench.Tests.Files;

public sealed class NearestNameTests
{
    /// <summary>Distances that follow from the definition: one insertion, deletion, replacement or swap of neighbours each.</summary>
    [Theory]
    [InlineData("idle", "idle", 0)]
    [InlineData("idle", "IDLE", 0)]
    [InlineData("idel", "idle", 1)]
    [InlineData("ide", "idle", 1)]
    [InlineData("iddle", "idle", 1)]
    [InlineData("rest", "nest", 1)]
    [InlineData("kitten", "sitting", 3)]
    [InlineData("", "abc", 3)]
    public void Distance_counts_slips_of_the_keyboard(string left, string right, int distance)
    {
        Assert.Equal(distance, NearestName.Distance(left, right));
        Assert.Equal(distance, NearestName.Distance(right, left));
    }

    [Fact]
    public void A_name_that_is_near_nothing_gets_the_list() =>
        Assert.Equal("the supplies are logic, motor", NearestName.Suggest("battery", ["logic", "motor"], "supplies"));
}
