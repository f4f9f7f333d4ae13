using System.Globalization;
using System.Text;
using TestRig.Bench.Recordings;
using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>Two lamps behind a buffer that does not invert (12 ns typical, 18 ns at most, both ways), and what instruments of these tests record of them.</summary>
internal static class LampRecording
{
    public const string Profile = """
        format: testrig-profile/1
        board: { name: Two-lamp card (invented) }
        supplies: { logic: { volts: 5 V ± 5 % } }
        parts: { U1: { type: 74LS244, supply: logic } }
        lines:
          lamp-1: { adapter: D2, idle: low, pull-down: 1 kohm, motion: false, longest-on: 5 s, rest: 50 ms }
          lamp-2: { adapter: D3, idle: low, pull-down: 1 kohm, motion: false, longest-on: 5 s, rest: 50 ms }
        test-points: { P1.1: { adapter: D2 }, P1.2: { adapter: D3 }, U1.18: { adapter: A0 }, U1.16: { adapter: A1 } }
        channels:
          lamp-1: { drive: lamp-1 at P1.1, path: [ U1 2>18 ] }
          lamp-2: { drive: lamp-2 at P1.2, path: [ U1 4>16 ] }

        """;

    public static Board Board(string recordings = "") => WrittenBoard.Of(Profile + recordings);

    public static RecordingResult Judge(string file, string text, string recordings = "", ExerciseMode mode = ExerciseMode.LogicOnly) =>
        Judge(file, Encoding.UTF8.GetBytes(text), Board(recordings), new(mode));

    /// <param name="diagnose">False to leave out what takes most of the time.</param>
    public static RecordingResult Judge(string file, byte[] content, Board board, RecordingOptions options, bool diagnose = true) =>
        new RecordingJudge(board, file, options, TimeProvider.System).Judge(new MemoryStream(content), new Unwatched(), diagnose, CancellationToken.None);

    /// <summary>A dump of both lamps in nanoseconds, from changes as "1500 P1.1 1"; all are low at first.</summary>
    public static string Vcd(params string[] changes) => Vcd(4_000_000, changes);

    /// <param name="end">The last time that it tells.</param>
    public static string Vcd(long end, params string[] changes)
    {
        string[] points = ["P1.1", "P1.2", "U1.18", "U1.16"];
        var text = new StringBuilder("$timescale 1 ns $end\n$scope module card $end\n");
        for (var i = 0; i < points.Length; i++)
            text.Append(CultureInfo.InvariantCulture, $"$var wire 1 {(char)('!' + i)} \\{points[i]} $end\n");
        text.Append("$upscope $end\n$enddefinitions $end\n#0\n$dumpvars\n0!\n0\"\n0#\n0$\n$end\n");
        foreach (var change in changes.Select(change => change.Split(' ')).OrderBy(parts => long.Parse(parts[0], CultureInfo.InvariantCulture)))
            text.Append(CultureInfo.InvariantCulture, $"#{change[0]}\n{change[2]}{(char)('!' + Array.IndexOf(points, change[1]))}\n");
        return text.Append(CultureInfo.InvariantCulture, $"#{end}\n").ToString();
    }

    /// <summary>A lamp switched on and off, and its buffer behind it.</summary>
    public static string[] Pulse(int lamp, long on, long off, long rises = 12, long falls = 12)
    {
        var (drive, output) = lamp == 1 ? ("P1.1", "U1.18") : ("P1.2", "U1.16");
        (long At, string Point, int Value)[] changes = [(on, drive, 1), (on + rises, output, 1), (off, drive, 0), (off + falls, output, 0)];
        return [.. changes.Select(change => string.Create(CultureInfo.InvariantCulture, $"{change.At} {change.Point} {change.Value}"))];
    }

    private sealed class Unwatched : IProgress<long>
    {
        public void Report(long value)
        {
        }
    }
}
