using System.Text;
using TestRig.Bench.Recordings;
using static TestRig.Bench.Tests.Recordings.LampRecording;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>Whatever stands in a file, it is judged or refused with its line: no other exception, and no end that never comes.</summary>
public class DamagedRecordingTests
{
    private static readonly string _dump = Vcd([.. Pulse(1, 100_000, 200_000), .. Pulse(2, 2_000_000, 2_100_000), "3000000 U1.18 x", "3000100 U1.18 0"])
        .Replace("$upscope $end", "$var reg 8 & port [7:0] $end\n$var real 64 ' v $end\n$upscope $end", StringComparison.Ordinal)
        .Replace("#100012\n", "#100012\nb10zx &\nr4.75 '\n$comment between $end\n", StringComparison.Ordinal);

    private const string Columns = "time [us],P1.1,P1.2,U1.18 [V],\"U1.16\"\n0,0,0,0.2,0\n100,1,0,4.4,0\n200,0,0,0.2,x\n300,0,1,0.2,1\n400,0,0,0.2,0\n1000,0,0,0.2,0\n";

    [Fact]
    public void Cut_off_anywhere()
    {
        for (var length = 0; length < _dump.Length; length++)
            JudgedOrRefused("lamps.vcd", Encoding.ASCII.GetBytes(_dump[..length]));
        for (var length = 0; length < Columns.Length; length++)
            JudgedOrRefused("lamps.csv", Encoding.ASCII.GetBytes(Columns[..length]));
        for (var length = 0; length < _stated.Length; length++)
            JudgedOrRefused("stated.vcd", Encoding.ASCII.GetBytes(_stated[..length]));
    }

    /// <summary>A capture of ours with statements of every kind.</summary>
    private static readonly string _stated = StatedCaptureTests.SomeText(seed: 3);

    [Theory]
    [InlineData("lamps.vcd")]
    [InlineData("lamps.csv")]
    [InlineData("stated.vcd")]
    public void With_a_few_bytes_that_are_wrong_gone_or_twice_there(string file)
    {
        var whole = Encoding.ASCII.GetBytes(file switch { "lamps.vcd" => _dump, "stated.vcd" => _stated, _ => Columns });
        for (var seed = 0; seed < 1_500; seed++)
        {
            var random = new Random(seed);
            var bytes = whole.ToList();
            for (var damage = random.Next(1, 5); damage > 0; damage--)
            {
                var at = random.Next(bytes.Count);
                switch (random.Next(3))
                {
                    case 0:
                        bytes[at] = (byte)random.Next(256);
                        break;
                    case 1:
                        bytes.RemoveRange(at, Math.Min(random.Next(1, 20), bytes.Count - at));
                        break;
                    default:
                        bytes.InsertRange(at, bytes.GetRange(at, Math.Min(random.Next(1, 20), bytes.Count - at)));
                        break;
                }
                if (bytes.Count == 0)
                    break;
            }
            JudgedOrRefused(file, [.. bytes], $"seed {seed}");
        }
    }

    [Theory]
    [InlineData("lamps.vcd")]
    [InlineData("lamps.csv")]
    public void Or_nothing_but_chance(string file)
    {
        for (var seed = 0; seed < 500; seed++)
        {
            var bytes = new byte[new Random(seed).Next(1, 400)];
            new Random(seed).NextBytes(bytes);
            JudgedOrRefused(file, bytes, $"seed {seed}");
        }
    }

    /// <summary>A word without an end is refused, and not kept until memory is full.</summary>
    [Fact]
    public void A_word_of_gigabytes_is_refused()
    {
        var text = new LongWord("$timescale 1 ns $end $enddefinitions $end #0 b");
        var wrong = Assert.Throws<RecordingException>(() =>
        {
            using var reader = new VcdReader(text, "lamps.vcd");
            while (reader.Read() != VcdEvent.End)
            {
                // It never comes to its end.
            }
        });
        Assert.Contains("a word of more than", wrong.Message, StringComparison.Ordinal);
    }

    private static readonly Core.Boards.Board _board = Board();

    private static void JudgedOrRefused(string file, byte[] content, string which = "")
    {
        try
        {
            LampRecording.Judge(file, content, _board, new(Core.Scheduling.ExerciseMode.LogicOnly), diagnose: false);
        }
        catch (RecordingException refused)
        {
            Assert.StartsWith(file, refused.Message, StringComparison.Ordinal);
        }
        catch (Exception other)
        {
            throw new InvalidOperationException($"{which}: {Convert.ToBase64String(content)}", other);
        }
    }

    /// <summary>These words, and then the last letter of them without end.</summary>
    private sealed class LongWord(string start) : Stream
    {
        private int _at;

        public override bool CanRead => true;

        public override bool CanSeek => false;

        public override bool CanWrite => false;

        public override long Length => long.MaxValue;

        public override long Position { get => _at; set => throw new NotSupportedException(); }

        public override int Read(byte[] buffer, int offset, int count)
        {
            for (var i = 0; i < count; i++)
                buffer[offset + i] = (byte)(_at < start.Length ? start[_at++] : '1');
            return count;
        }

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
