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
    }
}
