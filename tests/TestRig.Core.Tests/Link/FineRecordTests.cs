using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

public class FineRecordTests
{
    [Theory]
    [InlineData("08" + "00" + "01" + "34120000" + "00000100" + "0000" + "0400", null)] // the vector fine-record-reply, behind its result
    [InlineData("08" + "00" + "01" + "34120000" + "00000000" + "0000" + "0400", null)] // whole
    [InlineData("08" + "00" + "01" + "34120000" + "00000100" + "0000" + "04", "14 bytes")]
    [InlineData("", "0 bytes")]
    [InlineData("08" + "00" + "01" + "34120000" + "00000100" + "0500" + "0400", "latency")]
    [InlineData("08" + "00" + "01" + "00000100" + "00000100" + "0000" + "0400", "modulus")]
    public void A_record_is_read_or_refused_with_what_is_wrong(string body, string? problem)
    {
        var parsed = FineRecord.Parse(Convert.FromHexString(body));
        if (problem is null)
            Assert.Equal((8, false, true, 0x1234u, 4), (parsed.Value!.Pin, parsed.Value.High, parsed.Value.Seen, parsed.Value.Stamp, parsed.Value.Most));
        else
            Assert.Contains(problem, parsed.Problem, StringComparison.Ordinal);
        Assert.Null(parsed.Value?.Crossing);
    }

    [Theory]
    [InlineData("9203" + "1A05" + "DC05" + "B80B", null)] // the vector crossing-record-reply, behind its result: 914, 1306, 1500, 3000 mV
    [InlineData("9203" + "1A05" + "DC05" + "B8", "22 bytes")]
    [InlineData("1B05" + "1A05" + "DC05" + "B80B", "reference")] // least above most
    [InlineData("9203" + "DC05" + "DC05" + "B80B", "reference")] // reaches the input's own levels
    [InlineData("9203" + "1A05" + "B90B" + "B80B", "reference")]
    public void A_record_of_a_crossing_tells_which_voltages_were_crossed(string voltages, string? problem)
    {
        var parsed = FineRecord.Parse(Convert.FromHexString("12" + "01" + "01" + "34120000" + "00000100" + "0000" + "1400" + voltages));
        if (problem is null)
            Assert.Equal(new(new(0.914), new(1.306), new(1.5), new(3.0)), parsed.Value!.Crossing);
        else
            Assert.Contains(problem, parsed.Problem, StringComparison.Ordinal);
    }
}
