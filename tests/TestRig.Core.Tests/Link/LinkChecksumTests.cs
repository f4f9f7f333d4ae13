using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

public class LinkChecksumTests
{
    /// <summary>CRC-32/ISO-HDLC in G. Cook's catalogue of parametrised CRC algorithms (value from memory, recomputed independently).</summary>
    [Fact]
    public void The_check_value_is_that_of_the_catalogue() => Assert.Equal(0xCBF43926, LinkChecksum.Of("123456789"u8));

    [Fact]
    public void A_single_flipped_bit_is_always_noticed()
    {
        var data = Enumerable.Range(0, 64).Select(value => (byte)(value * 37 % 256)).ToArray();
        var right = LinkChecksum.Of(data);
        for (var bit = 0; bit < data.Length * 8; bit++)
        {
            data[bit / 8] ^= (byte)(1 << (bit % 8));
            Assert.NotEqual(right, LinkChecksum.Of(data));
            data[bit / 8] ^= (byte)(1 << (bit % 8));
        }
    }
}
