using TestRig.Core.Link;

namespace TestRig.Benchmarks;

/// <summary>Decoding a stream of full frames, against copying its bytes once.</summary>
internal static class FrameDecodingComparisons
{
    private const int Frames = 4000;

    public static IEnumerable<Comparison> All =>
    [
        new("frame decoding (COBS, CRC-32), time as a multiple of memcpy", RatioKind.TimesYardstick, null, Prepare),
    ];

    private static Contest Prepare()
    {
        var random = new Random(20261125);
        var body = new byte[FrameFormat.LongestBody];
        var wire = new byte[Frames * FrameFormat.LongestWire];
        var length = 0;
        for (var i = 0; i < Frames; i++)
        {
            random.NextBytes(body);
            length += FrameEncoder.Encode(0x32, (byte)(i % 256), body, wire.AsSpan(length));
        }
        var stream = wire.AsMemory(0, length);
        var copy = new byte[length];
        return new(() => Decode(stream.Span), () => Copy(stream.Span, copy));
    }

    private static void Decode(ReadOnlySpan<byte> stream)
    {
        var decoder = new FrameDecoder();
        while (!stream.IsEmpty)
        {
            decoder.Read(stream, out var consumed);
            stream = stream[consumed..];
        }
        if (decoder.Accepted != Frames)
            throw new InvalidOperationException($"{decoder.Accepted} of {Frames} frames decoded");
    }

    private static void Copy(ReadOnlySpan<byte> stream, byte[] copy)
    {
        stream.CopyTo(copy);
        if (copy[^1] != FrameFormat.Delimiter)
            throw new InvalidOperationException("The copy is not complete.");
    }
}
