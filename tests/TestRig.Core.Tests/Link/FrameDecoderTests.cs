using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Link;

namespace TestRig.Core.Tests.Link;

public class FrameDecoderTests
{
    [Fact]
    public void A_frame_without_body_is_found()
    {
        var found = Found(new FrameDecoder(), Wire(new(0x01, 7, [])));
        Assert.Equal([new(0x01, 7, [])], found);
    }

    [Fact]
    public void A_frame_split_before_its_last_byte_needs_more()
    {
        var decoder = new FrameDecoder();
        var wire = Wire(new(0x81, 1, [0, 1, 2]));
        var first = decoder.Read(wire.AsSpan(0, wire.Length - 1), out var consumed);
        Assert.Equal(FrameAnswer.NeedMore, first.Answer);
        Assert.Equal(wire.Length - 1, consumed);
        var last = decoder.Read(wire.AsSpan(wire.Length - 1), out consumed);
        Assert.Equal(FrameAnswer.Frame, last.Answer);
        Assert.Equal(1, consumed);
        Assert.Equal([0, 1, 2], last.Body.ToArray());
    }

    [Fact]
    public void Delimiters_in_a_row_are_no_error()
    {
        var decoder = new FrameDecoder();
        Assert.Empty(Found(decoder, [0, 0, 0, 0]));
        Assert.Equal(0, decoder.ThrownAway);
    }

    [Theory]
    [InlineData("0544556677", MalformedReason.TooShort)]
    [InlineData("0911", MalformedReason.BrokenStuffing)]
    [InlineData("0701020304050607", MalformedReason.BrokenStuffing)]
    [InlineData("0801020304050607", MalformedReason.WrongChecksum)]
    public void What_is_no_frame_is_thrown_away_with_its_reason(string encoded, MalformedReason reason)
    {
        var decoder = new FrameDecoder();
        byte[] wire = [.. Convert.FromHexString(encoded), 0];
        var reading = decoder.Read(wire, out var consumed);
        Assert.Equal(FrameAnswer.Malformed, reading.Answer);
        Assert.Equal(reason, reading.Reason);
        Assert.Equal(wire.Length - 1, reading.Skipped);
        Assert.Equal(wire.Length, consumed);
        Assert.Equal((1, wire.Length - 1), (decoder.ThrownAway, decoder.BytesThrownAway));
    }

    [Fact]
    public void More_bytes_than_a_frame_can_have_are_thrown_away_up_to_the_next_delimiter()
    {
        var decoder = new FrameDecoder();
        // Each 1 but the last stands for a zero byte.
        var longest = Enumerable.Repeat((byte)1, FrameFormat.LongestPayload + 1).ToArray();
        Assert.Equal(MalformedReason.WrongChecksum, decoder.Read([.. longest, 0], out _).Reason);
        Assert.Equal(MalformedReason.TooLong, decoder.Read([.. longest, 1, 0], out _).Reason);
        for (var piece = 0; piece < 1000; piece++)
            Assert.Equal(FrameAnswer.NeedMore, decoder.Read(longest, out _).Answer);
        var reading = decoder.Read([0], out _);
        Assert.Equal((FrameAnswer.Malformed, MalformedReason.TooLong), (reading.Answer, reading.Reason));
        Assert.Equal(1000L * longest.Length, reading.Skipped);
        Assert.Single(Found(decoder, Wire(new(1, 2, [3]))));
    }

    [Fact]
    public void Every_single_damaged_bit_of_a_frame_is_noticed_and_the_next_frame_is_found()
    {
        var frame = new Frame(0x31, 9, [0, 0, 7, 200, 0, 1]);
        var next = new Frame(0x03, 10, []);
        var wire = Wire(frame);
        for (var bit = 8; bit < (wire.Length - 1) * 8; bit++)
        {
            var damaged = wire.ToArray();
            damaged[bit / 8] ^= (byte)(1 << (bit % 8));
            var decoder = new FrameDecoder();
            Assert.Equal([next], Found(decoder, [.. damaged, .. Wire(next)]));
            Assert.True(decoder.ThrownAway >= 1);
        }
    }

    [Fact]
    public void Reading_frames_allocates_nothing()
    {
        var decoder = new FrameDecoder();
        byte[] wire = [.. Wire(new(0xB2, 3, [.. Enumerable.Range(0, 240).Select(value => (byte)value)])), 5, 5, 5, 0];
        ReadAll(decoder, wire);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var round = 0; round < 10_000; round++)
            ReadAll(decoder, wire);
        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
        Assert.Equal(10_001, decoder.Accepted);
        Assert.Equal(10_001, decoder.ThrownAway);
    }

    [Property(MaxTest = 200)]
    public Property Decoding_undoes_encoding() =>
        Prop.ForAll(FrameGenerator.ToArbitrary(), frame => Found(new(), Wire(frame)).SequenceEqual([frame]));

    [Property(MaxTest = 200)]
    public Property Any_split_of_a_stream_gives_the_same_frames() =>
        Prop.ForAll(FrameGenerator.ListOf().ToArbitrary(), Gen.Choose(1, 40).ListOf().ToArbitrary(), (frames, pieces) =>
        {
            byte[] stream = [.. frames.SelectMany(Wire)];
            var decoder = new FrameDecoder();
            var found = new List<Frame>();
            var turn = 0;
            for (var at = 0; at < stream.Length;)
            {
                var length = Math.Min(pieces.Count == 0 ? 1 : pieces[turn++ % pieces.Count], stream.Length - at);
                found.AddRange(Found(decoder, stream.AsSpan(at, length)));
                at += length;
            }
            return found.SequenceEqual(frames) && decoder.ThrownAway == 0;
        });

    [Property(MaxTest = 200)]
    public Property Garbage_between_frames_invents_no_frame_and_loses_no_later_one() =>
        Prop.ForAll(FrameGenerator.Zip(SomeBytes.Generator(600)).ListOf().ToArbitrary(), pairs =>
        {
            // The delimiter in front of each frame ends the garbage before it.
            byte[] stream = [.. pairs.SelectMany(pair => pair.Item2.Concat(Wire(pair.Item1)))];
            return Found(new(), stream).SequenceEqual(pairs.Select(pair => pair.Item1));
        });

    [Fact]
    public void A_megabyte_of_garbage_holds_no_frame()
    {
        var garbage = new byte[1_000_000];
        new Random(20261125).NextBytes(garbage);
        var decoder = new FrameDecoder();
        Assert.Empty(Found(decoder, garbage));
        Assert.True(decoder.ThrownAway > 1000);
    }

    [Fact]
    public void A_body_that_does_not_fit_is_refused_by_the_encoder() =>
        Assert.Throws<ArgumentException>(() => Wire(new(1, 1, [.. new byte[FrameFormat.LongestBody + 1]])));

    private static Gen<Frame> FrameGenerator =>
        Gen.Choose(0, 0xFFFF).Zip(SomeBytes.Generator(FrameFormat.LongestBody))
            .Select(parts => new Frame((byte)(parts.Item1 >> 8), (byte)(parts.Item1 & 0xFF), parts.Item2));

    private static byte[] Wire(Frame frame)
    {
        var wire = new byte[FrameFormat.LongestWire];
        return wire[..FrameEncoder.Encode(frame.Type, frame.Sequence, frame.Body, wire)];
    }

    private static List<Frame> Found(FrameDecoder decoder, ReadOnlySpan<byte> bytes)
    {
        var found = new List<Frame>();
        while (true)
        {
            var reading = decoder.Read(bytes, out var consumed);
            bytes = bytes[consumed..];
            if (reading.Answer == FrameAnswer.NeedMore)
                return found;
            if (reading.Answer == FrameAnswer.Frame)
                found.Add(new(reading.Type, reading.Sequence, reading.Body.ToArray()));
        }
    }

    private static void ReadAll(FrameDecoder decoder, ReadOnlySpan<byte> bytes)
    {
        while (decoder.Read(bytes, out var consumed).Answer != FrameAnswer.NeedMore)
            bytes = bytes[consumed..];
    }

    private sealed record Frame(byte Type, byte Sequence, byte[] Body)
    {
        public bool Equals(Frame? other) =>
            other is not null && Type == other.Type && Sequence == other.Sequence && Body.AsSpan().SequenceEqual(other.Body);

        public override int GetHashCode() => HashCode.Combine(Type, Sequence, Body.Length);

        public override string ToString() => $"{Type:X2} {Sequence:X2} {Convert.ToHexString(Body)}";
    }
}
