using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Captures;

namespace TestRig.Core.Tests.Captures;

public class EdgeExtractionTests
{
    [Fact]
    public void The_first_sample_of_all_is_a_level_and_not_a_change()
    {
        Assert.Empty(ExtractAll([[0xFF]], room: 4));
    }

    [Fact]
    public void A_change_between_two_buffers_is_found_at_the_start_of_the_second()
    {
        Assert.Equal([(3L, (byte)1)], ExtractAll([[0, 0, 0], [1, 1]], room: 4));
    }

    [Fact]
    public void A_one_sample_pulse_on_one_line_gives_two_changes()
    {
        var samples = new byte[1000];
        samples[777] = 0b0100;
        Assert.Equal([(777L, (byte)0b0100), (778L, (byte)0)], ExtractAll([samples], room: 16));
    }

    [Fact]
    public void Every_position_of_a_single_change_is_found()
    {
        // Every offset within a block, and both sides of its ends.
        for (var position = 1; position < 400; position++)
        {
            var samples = new byte[400];
            samples.AsSpan(position).Fill(0x80);
            Assert.Equal([((long)position, (byte)0x80)], ExtractAll([samples], room: 300));
        }
    }

    [Fact]
    public void A_full_result_stops_and_the_rest_follows_on_the_next_call()
    {
        var samples = new byte[500];
        for (var i = 0; i < samples.Length; i++)
            samples[i] = (byte)(i & 1);
        var extraction = new EdgeExtraction();
        var positions = new int[7];
        var found = extraction.Extract(samples, positions, new byte[7], out var consumed);
        Assert.Equal(7, found);
        Assert.Equal(8, consumed);
        Assert.Equal([1, 2, 3, 4, 5, 6, 7], positions);
        found = extraction.Extract(samples.AsSpan(consumed), positions, new byte[7], out consumed);
        Assert.Equal(7, found);
        Assert.Equal(7, consumed);
        Assert.Equal([0, 1, 2, 3, 4, 5, 6], positions);
        Assert.Equal(15, extraction.SamplesConsumed);
    }

    [Fact]
    public void Results_of_unequal_room_are_refused()
    {
        Assert.Throws<ArgumentException>(() => new EdgeExtraction().Extract([1], new int[3], new byte[2], out _));
        Assert.Throws<ArgumentException>(() => new EdgeExtraction().Extract([1], [], [], out _));
    }

    [Property(MaxTest = 300)]
    public Property Any_stream_cut_anywhere_into_buffers_with_any_room_gives_what_a_plain_loop_gives()
    {
        var cases =
            from seed in Gen.Choose(0, int.MaxValue)
            from length in Gen.Choose(0, 3000)
            from density in Gen.Elements(0.0, 0.001, 0.02, 0.15, 0.5, 1.0)
            from room in Gen.Elements(1, 2, 9, 134, 135, 136, 400, 4000)
            from largestBuffer in Gen.Elements(1, 31, 130, 700, 5000)
            select (seed, length, density, room, largestBuffer);
        return Prop.ForAll(cases.ToArbitrary(), c =>
        {
            var random = new Random(c.seed);
            var samples = Stream(random, c.length, c.density);
            var buffers = new List<byte[]>();
            for (var at = 0; at < samples.Length;)
            {

                var taken = Math.Min(samples.Length - at, random.Next(1, c.largestBuffer + 1));
                buffers.Add(samples.AsSpan(at, taken).ToArray());
                at += taken;
            }
            Assert.Equal(PlainLoop(samples), ExtractAll(buffers, c.room));
        });
    }

    private static byte[] Stream(Random random, int length, double density)
    {
        var samples = new byte[length];
        var value = (byte)random.Next(256);
        for (var i = 0; i < length; i++)
        {
            if (random.NextDouble() < density)
                value ^= (byte)(1 << random.Next(8));
            samples[i] = value;
        }
        return samples;
    }

    private static List<(long Position, byte Value)> PlainLoop(byte[] samples)
    {
        var changes = new List<(long, byte)>();
        for (var i = 1; i < samples.Length; i++)
        {
            if (samples[i] != samples[i - 1])
                changes.Add((i, samples[i]));
        }
        return changes;
    }

    private static List<(long Position, byte Value)> ExtractAll(IEnumerable<byte[]> buffers, int room)
    {
        var extraction = new EdgeExtraction();
        var positions = new int[room];
        var values = new byte[room];
        var changes = new List<(long, byte)>();
        foreach (var buffer in buffers)
        {
            var rest = buffer.AsSpan();
            while (!rest.IsEmpty)
            {
                var before = extraction.SamplesConsumed;
                var found = extraction.Extract(rest, positions, values, out var consumed);
                Assert.True(consumed > 0);
                for (var i = 0; i < found; i++)
                    changes.Add((before + positions[i], values[i]));
                rest = rest[consumed..];
            }
            Assert.Equal(buffer[^1], extraction.Last);
        }
        return changes;
    }
}
