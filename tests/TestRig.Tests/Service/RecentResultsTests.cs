using TestRig.Service;

namespace TestRig.Tests.Service;

public sealed class RecentResultsTests
{
    [Fact]
    public void Those_that_were_asked_for_last_are_held()
    {
        var results = new RecentResults<string, string>(2);
        results.Hold("a", "1");
        results.Hold("b", "2");
        Assert.Equal("1", results.Find("a"));
        results.Hold("c", "3");
        Assert.Null(results.Find("b"));
        Assert.Equal(("1", "3"), (results.Find("a"), results.Find("c")));
        results.Hold("a", "4");
        Assert.Equal(("4", "3"), (results.Find("a"), results.Find("c")));
    }
}
