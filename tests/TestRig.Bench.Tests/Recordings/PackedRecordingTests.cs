using System.Collections.Immutable;
using System.Diagnostics;
using System.Text;
using TestRig.Bench.Recordings;
using TestRig.Core.Judging;
using static TestRig.Bench.Tests.Recordings.LampRecording;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>Recordings that were packed by the system's own gzip, and such that come through a pipe.</summary>
public class PackedRecordingTests
{
    private static readonly byte[] _dump = Encoding.ASCII.GetBytes(Vcd([.. Pulse(1, 100_000, 200_000, 11, 13), .. Pulse(2, 2_000_000, 2_100_000)]));

    /// <summary>A row every 10 us; the lamps are on for 2 ms each, one after the other.</summary>
    private static readonly byte[] _columns = Encoding.ASCII.GetBytes("time [us],P1.1,P1.2,U1.18,U1.16\n" + string.Concat(Enumerable.Range(0, 1_200).Select(row =>
        (row * 10) is >= 1_000 and < 3_000 ? $"{row * 10},1,0,1,0\n" : (row * 10) is >= 6_000 and < 8_000 ? $"{row * 10},0,1,0,1\n" : $"{row * 10},0,0,0,0\n")));

    /// <summary>Neither what is packed nor what is in it has to be in the name.</summary>
    [Theory]
    [InlineData("lamps.vcd.gz")]
    [InlineData("lamps.vcd")]
    [InlineData("LAMPS.VCD.GZ")]
    [InlineData("standard input")]
    [InlineData("lamps.gz")]
    public void A_packed_dump_is_judged_like_the_dump(string name)
    {
        var (plain, packed) = (Judged("lamps.vcd", _dump), Judged(name, Gzip(_dump)));
        Assert.Equal([Condition.Working, Condition.Working], packed.Select(channel => channel.Condition));
        Assert.Equal(plain.SelectMany(channel => channel.Findings).Select(finding => finding.Words), packed.SelectMany(channel => channel.Findings).Select(finding => finding.Words));
    }

    [Theory]
    [InlineData("lamps.csv.gz")]
    [InlineData("lamps.csv")]
    [InlineData("standard input")]
    public void So_are_packed_columns(string name) =>
        Assert.Equal(Judged("lamps.csv", _columns).Select(channel => (channel.Condition, channel.Summary)), Judged(name, Gzip(_columns)).Select(channel => (channel.Condition, channel.Summary)));

    /// <summary>Files that were put together are one (RFC 1952, 2.2).</summary>
    [Fact]
    public void Several_members_are_one_file()
    {
        byte[] packed = [.. Gzip(_dump[..300]), .. Gzip(_dump[300..])];
        Assert.Equal([Condition.Working, Condition.Working], Judged("lamps.vcd.gz", packed).Select(channel => channel.Condition));
    }

    /// <summary>Wherever it is cut, a piece of a recording is never judged as the whole; what was packed ends with its checksum and its length.</summary>
    [Fact]
    public void Cut_off_anywhere_it_is_refused_with_its_place()
    {
        var packed = Gzip(_dump);
        for (var length = 2; length < packed.Length; length++)
        {
            var refused = Assert.Throws<RecordingException>(() => Judged("lamps.vcd.gz", packed[..length]));
            Assert.Contains($"cut off within the first {length} bytes", refused.Message, StringComparison.Ordinal);
        }
    }

    /// <summary>The deflated data, their checksum and their length. Up to seven bits behind the deflated data fill a byte, and are nobody's (RFC 1951, 3.2.3): there alone damage does nothing.</summary>
    [Fact]
    public void Damaged_anywhere_it_is_refused()
    {
        const int Header = 10, ChecksumAndLength = 8;
        var packed = Gzip(_dump);
        for (var at = Header; at < packed.Length; at++)
        {
            byte[] damaged = [.. packed];
            damaged[at] ^= 0x80;
            if (at == packed.Length - ChecksumAndLength - 1)
                continue;
            Assert.Contains("gzip data", Assert.Throws<RecordingException>(() => Judged("lamps.vcd.gz", damaged)).Message, StringComparison.Ordinal);
        }
    }

    /// <summary>Whatever a pipe hands over at a time.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(4096)]
    public void It_need_not_be_a_file_that_can_be_read_twice(int atOnce)
    {
        foreach (var (name, content) in new[] { ("a.vcd", _dump), ("a.csv", _columns), ("a.vcd.gz", Gzip(_dump)), ("a", Gzip(_columns)) })
        {
            var judged = new RecordingJudge(Board(), name, new(Core.Scheduling.ExerciseMode.LogicOnly), TimeProvider.System)
                .Judge(new Trickle(content, atOnce), new Progress<long>(), diagnose: false, CancellationToken.None);
            Assert.Equal([Condition.Working, Condition.Working], judged.Sweep.Channels.Select(channel => channel.Condition));
        }
    }

    private static ImmutableArray<ChannelResult> Judged(string name, byte[] content) => LampRecording.Judge(name, content, Board(), new(Core.Scheduling.ExerciseMode.LogicOnly), diagnose: false).Sweep.Channels;

    private static byte[] Gzip(byte[] content)
    {
        using var gzip = Process.Start(new ProcessStartInfo("gzip", "-c") { RedirectStandardInput = true, RedirectStandardOutput = true })!;
        using var packed = new MemoryStream();
        gzip.StandardInput.BaseStream.Write(content);
        gzip.StandardInput.Close();
        gzip.StandardOutput.BaseStream.CopyTo(packed);
        gzip.WaitForExit();
        return packed.ToArray();
    }

    private sealed class Trickle(byte[] content, int atOnce) : Stream
    {
        private int _at;

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => throw new NotSupportedException();

        public override long Position { get => throw new NotSupportedException(); set => throw new NotSupportedException(); }

        public override int Read(byte[] buffer, int offset, int count)
        {
            var some = Math.Min(Math.Min(count, atOnce), content.Length - _at);
            content.AsSpan(_at, some).CopyTo(buffer.AsSpan(offset));
            _at += some;
            return some;
        }

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
