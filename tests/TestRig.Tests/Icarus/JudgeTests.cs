using System.Text.Json;

namespace TestRig.Tests.Icarus;

/// <summary>
/// Dumps that somebody else wrote, of a circuit that somebody else simulated: a Verilog model of an invented board, run by Icarus Verilog. Whatever is expected here stands in the Verilog source, or in the macros that
/// these tests give to its compiler; 18 ns is the latest that both buffers' sheets permit.
/// </summary>
public class JudgeTests
{
    private static readonly string[] _channels = ["bell", "lamp-up", "lamp-down"];

    [Fact]
    public void A_healthy_board_works_and_every_delay_is_that_of_the_source()
    {
        var record = Simulated.Judge(0);
        Assert.All(_channels, channel => Assert.Equal("working", record.Conditions[channel]));
        // An inverting buffer that falls in 12 ns and rises in 7, one that does not invert, 12 ns; a transistor, 1 us and 5 us; a relay, 8 ms. Commands go low.
        Assert.Equal(
            [
                ("U1.18", "rises", 7_000), ("U1.18", "falls", 12_000), ("U2.18", "rises", 12_000), ("U2.18", "falls", 12_000),
                ("Q1.C", "falls", 1_000_000), ("Q1.C", "rises", 5_000_000), ("K1.NO", "falls", 8_000_000_000), ("K1.NO", "rises", 8_000_000_000),
            ],
            Delays(record, "bell"));
        Assert.Equal([("U1.16", "rises", 7_000), ("U1.16", "falls", 12_000), ("U2.16", "rises", 12_000), ("U2.16", "falls", 12_000)], Delays(record, "lamp-up"));
        // Its contact changes four times more, 200 us apart.
        var contact = Findings(record, "bell").First(finding => finding.GetProperty("testPoint").GetString() == "K1.NO");
        Assert.Equal((4, 800_000_000), (contact.GetProperty("bounces").GetInt32(), contact.GetProperty("settle_ps").GetInt64()));
    }

    /// <summary>The dump tells each instant to 1 ns, so a delay is known to ± 1 ns.</summary>
    [Theory]
    [InlineData(17, "working", "conforms", "conforms")]
    [InlineData(18, "working", "conforms", "not-resolved")]
    [InlineData(19, "working", "conforms", "not-resolved")]
    [InlineData(20, "slow", "late", "violates")]
    [InlineData(54, "slow", "late", "violates")]
    public void A_stage_is_slow_from_where_the_dump_can_tell(int delay, string condition, string verdict, string timing)
    {
        var record = Simulated.Judge(condition == "slow" ? 1 : 0, $"U2_UP_FALL={delay}");
        Assert.Equal((condition, "working", "working"), (record.Conditions["lamp-up"], record.Conditions["lamp-down"], record.Conditions["bell"]));
        var finding = Findings(record, "lamp-up").Single(each => each.GetProperty("testPoint").GetString() == "U2.16" && each.GetProperty("expected").GetString() == "falls");
        Assert.Equal((verdict, timing, delay * 1_000L), (finding.GetProperty("verdict").GetString(), finding.GetProperty("timing").GetString(), finding.GetProperty("delay_ps").GetInt64()));
        if (condition == "slow")
            Assert.Equal(["U2"], record.FirstSuspects);
    }

    /// <summary>All sections of one package late, known to 1 ns or as an instrument that samples at larger steps knows it: the package is named, and no other.</summary>
    [Theory]
    [InlineData("U2_RISE=54", null, "U2")]
    [InlineData("U2_RISE=54", "20 ns", "U2")]
    [InlineData("U2_FALL=540", "50 ns", "U2")]
    [InlineData("U1_RISE=5000", "1 us", "U1")]
    [InlineData("U1_FALL=30", null, "U1")]
    public void A_package_that_is_slow_in_all_its_sections_is_named(string macro, string? resolution, string part)
    {
        var record = Simulated.Judge(1, [macro, macro.Replace("RISE", "FALL", StringComparison.Ordinal)], resolution is null ? [] : ["--resolution", resolution]);
        Assert.All(_channels, channel => Assert.Equal("slow", record.Conditions[channel]));
        Assert.Equal([part], record.FirstSuspects);
        Assert.Equal(_channels.Order(), record.Root.GetProperty("suspects")[0].GetProperty("explains").EnumerateArray().Select(channel => channel.GetString()!).Order());
        Assert.Equal("whole-package", record.Root.GetProperty("suspects")[0].GetProperty("mode").GetString());
    }

    /// <summary>The same of one section: the others of its package are not blamed.</summary>
    [Theory]
    [InlineData("10 ns")]
    [InlineData("100 ns")]
    public void A_section_far_too_slow_for_a_coarse_instrument_to_miss_is_named(string resolution)
    {
        var record = Simulated.Judge(1, ["U2_UP_RISE=540", "U2_UP_FALL=540"], ["--resolution", resolution]);
        Assert.Equal(("working", "slow", "working"), (record.Conditions["bell"], record.Conditions["lamp-up"], record.Conditions["lamp-down"]));
        Assert.Equal(["U2"], record.FirstSuspects);
        Assert.Equal("slow", record.Root.GetProperty("suspects")[0].GetProperty("mode").GetString());
    }

    [Theory]
    [InlineData("Q1_DEAD", "bell", "dead", "Q1")]
    [InlineData("K1_DEAD", "bell", "dead", "K1")]
    [InlineData("U1_DEAD", "bell", "dead", null)] // its output is z and so is what follows: which of three parts it is, nothing that was recorded tells
    [InlineData("U1_16_STUCK_HIGH", "lamp-up", "stuck-high", "U1")]
    [InlineData("U1_16_STUCK_LOW", "lamp-up", "stuck-low", "U1")]
    [InlineData("U1_16_INVERTED", "lamp-up", "inverted", "U1")]
    [InlineData("WORN", "bell", "bouncing", "K1")]
    public void A_broken_part_is_found_and_no_other_channel_blamed(string macro, string channel, string condition, string? part)
    {
        var record = Simulated.Judge(1, macro);
        Assert.All(_channels, each => Assert.Equal(each == channel ? condition : "working", record.Conditions[each]));
        if (part is not null)
            Assert.Equal(part, record.FirstSuspects[0]);
        else
            Assert.Superset(new HashSet<string> { "Q1", "U1", "U2" }, record.FirstSuspects.ToHashSet());
    }

    /// <summary>Whether nets or probes are exchanged a recording does not tell.</summary>
    [Fact]
    public void Crossed_channels_are_both_crossed()
    {
        var record = Simulated.Judge(1, "CROSSED");
        Assert.Equal(("crossed", "crossed", "working"), (record.Conditions["lamp-up"], record.Conditions["lamp-down"], record.Conditions["bell"]));
    }

    [Fact]
    public void An_output_that_is_x_is_no_pass()
    {
        var record = Simulated.Judge(6, "UNKNOWN");
        Assert.Equal(("working", "not-tested", "working"), (record.Conditions["lamp-up"], record.Conditions["lamp-down"], record.Conditions["bell"]));
    }

    /// <summary>The dump is off for a moment while lamp-up is pressed, and its simulator says so by $dumpoff.</summary>
    [Fact]
    public void A_press_during_which_the_dump_was_off_is_no_pass()
    {
        var record = Simulated.Judge(6, "OFF_FOR_A_MOMENT");
        Assert.Equal(("not-tested", "working", "working"), (record.Conditions["lamp-up"], record.Conditions["lamp-down"], record.Conditions["bell"]));
    }

    private static List<JsonElement> Findings(RunRecord record, string channel) =>
        [.. record.Root.GetProperty("channels").EnumerateArray().Single(each => each.GetProperty("name").GetString() == channel).GetProperty("findings").EnumerateArray()];

    private static IEnumerable<(string Point, string Expected, long Delay)> Delays(RunRecord record, string channel) => Findings(record, channel)
        .Where(finding => finding.TryGetProperty("delay_ps", out _))
        .Select(finding => (finding.GetProperty("testPoint").GetString()!, finding.GetProperty("expected").GetString()!, finding.GetProperty("delay_ps").GetInt64()));
}
