using System.Globalization;
using TestRig.Core.Captures;
using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

/// <summary>Every case of the vector file. An empty kind would prove nothing, so each test also demands that there are cases.</summary>
public class LinkVectorTests
{
    [Fact]
    public void Stuffing_agrees_with_the_vectors_in_both_directions() => ForEach("cobs", 2, fields =>
    {
        var plain = LinkVectors.Bytes(fields[0]);
        var encoded = new byte[Cobs.LongestEncoding(plain.Length)];
        Assert.Equal(fields[1], Convert.ToHexString(encoded.AsSpan(0, Cobs.Encode(plain, encoded))), ignoreCase: true);
        AssertDecodes(fields[1], plain);
    });

    [Fact]
    public void Unstuffing_agrees_with_the_vectors() =>
        ForEach("uncobs", 2, fields => AssertDecodes(fields[0], LinkVectors.Bytes(fields[1])));

    [Fact]
    public void Checksums_agree_with_the_vectors() => ForEach("crc32", 2, fields =>
        Assert.Equal(uint.Parse(fields[1], NumberStyles.HexNumber, CultureInfo.InvariantCulture), LinkChecksum.Of(LinkVectors.Bytes(fields[0]))));

    [Fact]
    public void Frames_agree_with_the_vectors_in_both_directions() => ForEach("frame", 5, fields =>
    {
        var type = LinkVectors.Bytes(fields[1]).Single();
        var sequence = LinkVectors.Bytes(fields[2]).Single();
        var body = LinkVectors.Bytes(fields[3]);
        var wire = new byte[FrameFormat.LongestWire];
        Assert.Equal(fields[4], Convert.ToHexString(wire.AsSpan(0, FrameEncoder.Encode(type, sequence, body, wire))), ignoreCase: true);
        var reading = new FrameDecoder().Read(LinkVectors.Bytes(fields[4]), out _);
        Assert.Equal(FrameAnswer.Frame, reading.Answer);
        Assert.Equal((type, sequence), (reading.Type, reading.Sequence));
        Assert.Equal(body, reading.Body.ToArray());
    });

    [Fact]
    public void What_the_vectors_reject_is_thrown_away_for_the_same_reason() => ForEach("reject", 2, fields =>
    {
        var reading = new FrameDecoder().Read(LinkVectors.Bytes(fields[1]), out _);
        Assert.Equal(FrameAnswer.Malformed, reading.Answer);
        Assert.Equal(
            fields[0] switch
            {
                "long" => MalformedReason.TooLong,
                "cobs" => MalformedReason.BrokenStuffing,
                "short" => MalformedReason.TooShort,
                "crc" => MalformedReason.WrongChecksum,
                _ => throw new InvalidOperationException($"'{fields[0]}' is no reason of section 10"),
            },
            reading.Reason);
    });

    [Fact]
    public void Instants_of_changes_agree_with_the_vectors() => ForEach("changes", 9, fields =>
    {
        var looks = new LookTiming(Number(fields[0]), Number(fields[1]), Number(fields[2]), Number(fields[3]), Number(fields[4]));
        var gaps = List(fields[6]).Select(gap => gap.Split(':')).Select(ends => new TickGap(Number(ends[0]), Number(ends[1]))).ToArray();
        var intervals = looks.Intervals([.. List(fields[7]).Select(Number)], [.. List(fields[5]).Select(Number)], gaps);
        Assert.Equal(fields[8], string.Join(',', intervals.Select(interval => FormattableString.Invariant($"{interval.After}:{interval.NotAfter}"))));
    });

    private static void AssertDecodes(string encoded, byte[] plain)
    {
        var bytes = LinkVectors.Bytes(encoded);
        var decoded = new byte[bytes.Length];
        Assert.True(Cobs.TryDecode(bytes, decoded, out var length));
        Assert.Equal(plain, decoded[..length]);
    }

    private static void ForEach(string kind, int fields, Action<string[]> check)
    {
        var cases = LinkVectors.Of(kind).ToArray();
        Assert.NotEmpty(cases);
        foreach (var (line, found) in cases)
        {
            Assert.True(found.Length == fields, $"line {line}: a case of {kind} has {fields} fields, not {found.Length}");
            try
            {
                check(found);
            }
            catch (Exception failure)
            {
                throw new InvalidOperationException($"vectors/link.txt line {line} ({kind}) fails: {failure.Message}", failure);
            }
        }
    }

    private static string[] List(string field) => field == "-" ? [] : field.Split(',');

    private static long Number(string text) => long.Parse(text, CultureInfo.InvariantCulture);
}
