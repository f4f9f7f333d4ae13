using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Tests.Reporting;

public class LinkWordsTests
{
    private static readonly SweepEnding _failed = new(SweepOutcome.AdapterFailed, "It does not answer.");

    [Fact]
    public void A_clean_link_and_no_link_are_not_worth_a_word()
    {
        Assert.Null(Words.Of((LinkHealth?)null, SweepEnding.Complete));
        Assert.Null(Words.Of(new LinkHealth(0, 0, 0, 0), SweepEnding.Complete));
    }

    [Fact]
    public void Damage_that_was_made_good_is_told_with_its_direction_and_the_remedy() => Assert.Equal(
        $"12 damaged frames (9 from the adapter, 3 to it), 1 byte too fast for the adapter; all made good by 11 requests sent again. Nothing damaged was used. The link is disturbed: {LinkHealth.Remedy}",
        Words.Of(new LinkHealth(9, 3, 1, 11), SweepEnding.Complete));

    [Fact]
    public void Damage_that_was_not_made_good_is_not_called_so()
    {
        var words = Words.Of(new LinkHealth(1, null, null, 3), _failed)!;
        Assert.Contains("1 damaged frame (1 from the adapter, those to it unknown); 3 requests sent again, and then it failed", words, StringComparison.Ordinal);
        Assert.DoesNotContain("made good", words, StringComparison.Ordinal);
    }

    [Fact]
    public void The_record_has_the_counts_and_the_report_their_words()
    {
        var result = SomeSweep.Result() with { Link = new(9, 3, 0, 11) };
        using var record = JsonDocument.Parse(RunJson.Write(result, "dome.yaml", []));
        var link = record.RootElement.GetProperty("link");
        Assert.Equal((9, 3, 0, 11), (link.GetProperty("damagedFromAdapter").GetInt32(), link.GetProperty("damagedToAdapter").GetInt32(), link.GetProperty("overruns").GetInt32(), link.GetProperty("repeats").GetInt32()));
        Assert.Contains("12 damaged frames", RunReport.Write(result, "dome.yaml", []), StringComparison.Ordinal);
        Assert.DoesNotContain("damaged frame", RunReport.Write(SomeSweep.Result(), "dome.yaml", []), StringComparison.Ordinal);
    }
}
