using TestRig.Bench.Learning;

namespace TestRig.Bench.Tests.Learning;

/// <summary>The form is that of POSIX.1-2017, diff, "Diff -u Output Format"; the expected texts were written by hand.</summary>
public class UnifiedDifferenceTests
{
    [Fact]
    public void Texts_that_are_the_same_differ_in_nothing() => Assert.Empty(UnifiedDifference.Of("a\nb\n", "a\nb\n", "old", "new"));

    [Fact]
    public void A_changed_and_an_added_line_stand_with_three_lines_around_them()
    {
        var old = string.Concat(Enumerable.Range(1, 20).Select(i => $"line {i}\n"));
        var changed = old.Replace("line 5\n", "line five\n", StringComparison.Ordinal).Replace("line 16\n", "line 16\nadded\n", StringComparison.Ordinal);
        Assert.Equal(
            """
            --- old
            +++ new
            @@ -2,7 +2,7 @@
             line 2
             line 3
             line 4
            -line 5
            +line five
             line 6
             line 7
             line 8
            @@ -14,6 +14,7 @@
             line 14
             line 15
             line 16
            +added
             line 17
             line 18
             line 19

            """.ReplaceLineEndings("\n"),
            UnifiedDifference.Of(old, changed, "old", "new"));
    }

    [Fact]
    public void A_last_line_without_its_end_is_told() => Assert.Equal(
        "--- old\n+++ new\n@@ -1,1 +1,2 @@\n-a\n\\ No newline at end of file\n+a\n+b\n",
        UnifiedDifference.Of("a", "a\nb\n", "old", "new"));
}
