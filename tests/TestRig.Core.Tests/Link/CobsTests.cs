using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

public class CobsTests
{
    /// <summary>
    /// Rows 1 to 11: the public table in the README of ThierryHenry1994/cobs-codec, the same as the encyclopedia article's. Row 12: README of cmcqueen/cobs2-rs.
    /// Row 13: the example of Cheshire and Baker, IEEE/ACM Transactions on Networking 7(2), April 1999 (value from memory, recomputed).
    /// </summary>
    public static TheoryData<string, string> PublishedRows => new()
    {
        { "00", "0101" },
        { "0000", "010101" },
        { "001100", "01021101" },
        { "11220033", "0311220233" },
        { "11223344", "0511223344" },
        { "11000000", "0211010101" },
        { Run(0x01, 0xFE), "FF" + Run(0x01, 0xFE) },
        { "00" + Run(0x01, 0xFE), "01FF" + Run(0x01, 0xFE) },
        { Run(0x01, 0xFF), "FF" + Run(0x01, 0xFE) + "02FF" },
        { Run(0x02, 0xFF) + "00", "FF" + Run(0x02, 0xFF) + "0101" },
        { Run(0x03, 0xFF) + "0001", "FE" + Run(0x03, 0xFF) + "0201" },
        { "2FA200927302", "032FA204927302" },
        { "4500002C4C79000040064F37", "024501042C4C79010540064F37" },
    };

    [Theory]
    [MemberData(nameof(PublishedRows))]
    public void Published_rows_are_encoded_and_decoded(string plain, string encoded)
    {
        Assert.Equal(encoded, Encoded(plain));
        Assert.Equal(plain, Decoded(encoded));
    }

    [Fact]
    public void Nothing_is_encoded_as_a_single_one()
    {
        Assert.Equal("01", Encoded(""));
        Assert.Equal("", Decoded("01"));
    }

    [Fact]
    public void A_full_last_block_is_decoded_with_and_without_a_closing_one()
    {
        Assert.Equal(Run(0x01, 0xFE), Decoded("FF" + Run(0x01, 0xFE)));
        Assert.Equal(Run(0x01, 0xFE), Decoded("FF" + Run(0x01, 0xFE) + "01"));
    }

    [Theory]
    [InlineData("00")]
    [InlineData("03110022")]
    [InlineData("02")]
    [InlineData("0511223344FF")]
    public void What_is_no_encoding_is_told_to_be_broken(string encoded)
    {
        var bytes = Convert.FromHexString(encoded);
        Assert.False(Cobs.TryDecode(bytes, new byte[bytes.Length], out var length));
        Assert.Equal(0, length);
    }

    [Property(MaxTest = 500)]
    public Property Decoding_undoes_encoding() => Prop.ForAll(SomeBytes.Arbitrary(700), plain =>
    {
        var encoded = new byte[Cobs.LongestEncoding(plain.Length)];
        var written = encoded.AsSpan(0, Cobs.Encode(plain, encoded));
        var decoded = new byte[written.Length];
        return !written.Contains((byte)0) && Cobs.TryDecode(written, decoded, out var length) && decoded.AsSpan(0, length).SequenceEqual(plain);
    });

    private static string Run(int from, int to) =>
        Convert.ToHexString([.. Enumerable.Range(from, to - from + 1).Select(value => (byte)value)]);

    private static string Encoded(string plain)
    {
        var bytes = Convert.FromHexString(plain);
        var encoded = new byte[Cobs.LongestEncoding(bytes.Length)];
        return Convert.ToHexString(encoded.AsSpan(0, Cobs.Encode(bytes, encoded)));
    }

    private static string Decoded(string encoded)
    {
        var bytes = Convert.FromHexString(encoded);
        var plain = new byte[bytes.Length];
        Assert.True(Cobs.TryDecode(bytes, plain, out var length));
        return Convert.ToHexString(plain.AsSpan(0, length));
    }
}
