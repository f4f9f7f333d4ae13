using System.Diagnostics;
using System.Globalization;
using System.Text;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Benchmarks;

/// <summary>Recordings that are made while they are read, of one lamp of a demonstration board that goes on and off beside signals that are no test points: what a hundred times the length takes of memory and time.</summary>
internal static class LongRecording
{
    public const string DumpName = "recordings: a value change dump of 2 GB against one of 20 MB";

    public const string ColumnsName = "recordings: columns of 2 GB against those of 20 MB";

    private const long Short = 20_000_000, Long = 2_000_000_000;

    /// <summary>What the collector may keep more of the long one than of the short one; a recording that was kept would take a hundred times this.</summary>
    private const double GoalOfMemory = 20_000_000;

    public static string MeasureDump() => Measure(DumpName, "lamps.vcd", length => new Made(DumpHeading, DumpOf, length));

    public static string MeasureColumns() => Measure(ColumnsName, "lamps.csv", length => new Made("time [us],P1.1,U1.18,Q1.C,clock\n", ColumnsOf, length));

    private const string DumpHeading = "$timescale 1 ns $end\n$scope module panel $end\n$var wire 1 ! \\P1.1 $end\n$var wire 1 \" \\U1.18 $end\n$var wire 1 # \\Q1.C $end\n$var wire 1 $ clock $end\n$var reg 16 % bus [15:0] $end\n$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n0!\n0\"\n1#\n0$\nb0 %\n$end\n";

    private static string Measure(string name, string file, Func<long, Stream> recording)
    {
        var board = ProfileLoader.Load(Path.Combine(RepositoryRoot.Path, "profiles", "tide-gauge.yaml"), Path.Combine(RepositoryRoot.Path, "profiles", "parts")).Board!;
        (double Seconds, double Peak, int Exercises) Judge(long length)
        {
            using var stream = recording(length);
            GC.Collect();
            var clock = Stopwatch.StartNew();
            var sweep = new RecordingJudge(board, file, new(ExerciseMode.LogicOnly), TimeProvider.System).Judge(stream, new Silent(), CancellationToken.None).Sweep;
            var lamp = sweep.Channels.Single(channel => channel.Channel.Name == "lamp-rising");
            if (lamp.Condition != Condition.Working)
                throw new InvalidOperationException($"{lamp.Condition}: {lamp.Summary}");
            var (seconds, peak) = (clock.Elapsed.TotalSeconds, Process.GetCurrentProcess().PeakWorkingSet64);
            return (seconds, peak, sweep.Repeats);
        }
        Judge(Short);
        var brief = Judge(Short);
        var whole = Judge(Long);
        var (more, times) = (whole.Peak - brief.Peak, whole.Seconds / Long / (brief.Seconds / Short));
        using var alone = recording(Short);
        var reading = Stopwatch.StartNew();
        alone.CopyTo(Stream.Null);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{name}: {more / 1e6:0.0} MB more at its peak (goal <= {GoalOfMemory / 1e6:0} {(more <= GoalOfMemory ? "met" : "MISSED")}); {times:0.00} times as long for each MB; {whole.Exercises} exercises in {whole.Seconds:0.0} s, {Long / 1e6 / whole.Seconds:0} MB/s, of which making it takes {reading.Elapsed.TotalSeconds / brief.Seconds:0.00}");
    }

    /// <summary>Ten milliseconds: the lamp on for one of them, a clock of 100 kHz and a bus through all of them.</summary>
    private static void DumpOf(StringBuilder text, long period)
    {
        var start = (period * 10_000_000) + 1_000_000;
        (long At, string Change)[] lamp = [(0, "1!"), (12, "1\""), (1_012, "0#"), (1_000_000, "0!"), (1_000_012, "0\""), (1_005_012, "1#")];
        var next = 0;
        for (var step = 0; step < 1_800; step++)
        {
            for (; next < lamp.Length && lamp[next].At < (step * 5_000) + 1_500; next++)
                text.Append(CultureInfo.InvariantCulture, $"#{start + lamp[next].At}\n{lamp[next].Change}\n");
            text.Append(CultureInfo.InvariantCulture, $"#{start + (step * 5_000) + 1_500}\n{step % 2}$\nb{Convert.ToString(step % 2_048, 2)} %\n");
        }
    }

    private static void ColumnsOf(StringBuilder text, long period)
    {
        for (var row = 0; row < 1_000; row++)
        {
            var (command, collector) = (row is >= 100 and < 600 ? 1 : 0, row is >= 101 and < 601 ? 0 : 1);
            text.Append(CultureInfo.InvariantCulture, $"{(period * 10_000) + (row * 10)},{command},{command},{collector},{row % 2}\n");
        }
    }

    private sealed class Silent : IProgress<long>
    {
        public void Report(long value)
        {
        }
    }

    /// <summary>A heading, and then one period after another until the length is reached; whole periods only.</summary>
    private sealed class Made(string heading, Action<StringBuilder, long> next, long length) : Stream
    {
        private readonly StringBuilder _text = new(heading);
        private byte[] _ready = [];
        private int _at;
        private long _period;
        private long _given;

        public override bool CanRead => true;

        public override bool CanSeek => true;

        public override bool CanWrite => false;

        public override long Length => length;

        public override long Position
        {
            get => _given;
            set
            {
                // Only ever back to the beginning.
                _text.Clear().Append(heading);
                (_ready, _at, _period, _given) = ([], 0, 0, value);
            }
        }

        public override int Read(byte[] buffer, int offset, int count)
        {
            if (_at == _ready.Length)
            {
                if (_given >= length)
                    return 0;
                next(_text, _period++);
                (_ready, _at) = (Encoding.ASCII.GetBytes(_text.ToString()), 0);
                _text.Clear();
            }
            var given = Math.Min(count, _ready.Length - _at);
            _ready.AsSpan(_at, given).CopyTo(buffer.AsSpan(offset));
            _at += given;
            _given += given;
            return given;
        }

        public override void Flush()
        {
        }

        public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

        public override void SetLength(long value) => throw new NotSupportedException();

        public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
    }
}
