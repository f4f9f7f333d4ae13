using System.Globalization;
using System.Text;
using System.Text.Json;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Tests.Plotting;
using TestRig.Bench.Tests.Recordings;
using TestRig.Bench.Tests.Reporting;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Exporting;

/// <summary>Captures written for other programs, as readers of other projects (npm: vcd-stream 1.5.0, csv-parse 7.0.3, hyparquet 1.31.5) read them.</summary>
public class CaptureExportTests
{
    private const int Captures = 25;

    private static readonly CaptureExport _export = new(SomeSweep.Result(), "0.1.0");

    private static Task<byte[]> WriteAsync(Capture capture, CaptureForm form) => _export.ToBytesAsync(DomeChannel.Healthy() with { Capture = capture }, form, default);

    private static async Task<JsonElement[]> ReadAgainAsync(IEnumerable<Capture> captures, CaptureForm form)
    {
        var (folder, files) = (TestFolders.Create().FullName, new List<string>());
        foreach (var capture in captures)
        {
            files.Add(Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"{files.Count}.{form.ToString().ToLowerInvariant()}")));
            await File.WriteAllBytesAsync(files[^1], await WriteAsync(capture, form));
        }
        return OtherReaders.Read([.. files]);
    }

    /// <summary>The dump's reader ends a name at "$end" wherever it stands, which clause 3.7.1 does not: names without it.</summary>
    private static List<Capture> SomeCaptures() =>
        [.. Enumerable.Range(0, Captures).Select(seed => WrittenCaptureTests.Some(new Random(seed))).Select(capture => capture with
        {
            Signals = [.. capture.Signals.Select(signal => signal with { Name = Plain(signal.Name) })],
            Levels = [.. capture.Levels.Select(level => level with { Signal = Plain(level.Signal) })],
        })];

    private static string Plain(string name) => name.Replace("$end", "", StringComparison.Ordinal);

    [Fact]
    public async Task A_value_change_dump_is_read_equal_by_a_reader_of_another_project()
    {
        var captures = SomeCaptures().ConvertAll(capture => capture with { Gaps = [] });
        Assert.Contains(captures, capture => capture.Levels.Length > 0);
        foreach (var (capture, dump) in captures.Zip(await ReadAgainAsync(captures, CaptureForm.Vcd)))
        {
            Assert.Equal("1 ps", dump.GetProperty("timescale").GetString());
            Assert.Equal(capture.End.Picoseconds, dump.GetProperty("last").GetInt64());
            var wires = dump.GetProperty("variables").EnumerateArray().Where(variable => variable.GetProperty("type").GetString() == "wire").ToList();
            Assert.Equal(capture.Signals.Select(signal => '\\' + signal.Name), wires.Select(wire => wire.GetProperty("name").GetString()));
            Assert.Equal(capture.Levels.Select(level => '\\' + level.Signal), Reals(dump));
            foreach (var (signal, wire) in capture.Signals.Zip(wires))
            {
                var expected = signal.Changes.Select(change => (change.NotAfter.Picoseconds, Digit(change.Level))).Prepend((0, Digit(signal.Initial)));
                Assert.Equal(expected, wire.GetProperty("changes").EnumerateArray().Select(change => (change.GetProperty("at").GetInt64(), change.GetProperty("value").GetString()!)));
            }
        }

        static IEnumerable<string?> Reals(JsonElement dump) =>
            dump.GetProperty("variables").EnumerateArray().Where(variable => variable.GetProperty("type").GetString() == "real").Select(real => real.GetProperty("name").GetString());
    }

    [Fact]
    public async Task Rows_of_comma_separated_values_are_read_equal_by_a_reader_of_another_project()
    {
        var captures = SomeCaptures();
        Assert.Contains(captures, capture => capture.Gaps.Length > 0);
        foreach (var (capture, table) in captures.Zip(await ReadAgainAsync(captures, CaptureForm.Csv)))
        {
            var rows = table.EnumerateArray().Select(row => row.EnumerateArray().Select(field => field.GetString()!).ToList()).ToList();
            Assert.Equal(["time [us]", .. capture.Signals.Select(signal => signal.Name), .. capture.Levels.Select(level => level.Signal + " voltage [V]")], rows[0]);
            AssertEveryRow(capture, rows.Skip(1), row => (long)(decimal.Parse(row[0], CultureInfo.InvariantCulture) * 1_000_000), row => row.Skip(1), "x", "");
        }
    }

    [Fact]
    public async Task A_parquet_file_is_read_equal_by_a_reader_of_another_project()
    {
        var captures = SomeCaptures();
        foreach (var (capture, table) in captures.Zip(await ReadAgainAsync(captures, CaptureForm.Parquet)))
        {
            Assert.Equal(
                ["time [ps] INT64", .. capture.Signals.Select(signal => signal.Name + " BOOLEAN"), .. capture.Levels.Select(level => level.Signal + " voltage [V] DOUBLE")],
                table.GetProperty("columns").EnumerateArray().Select(column => $"{column.GetProperty("name").GetString()} {column.GetProperty("type").GetString()}"));
            AssertEveryRow(
                capture, table.GetProperty("rows").EnumerateArray().Select(row => row.EnumerateArray().ToList()), row => row[0].GetInt64(),
                row => row.Skip(1).Select(field => field.ValueKind switch { JsonValueKind.True => "1", JsonValueKind.False => "0", JsonValueKind.Null => "unknown", _ => field.GetRawText() }), "unknown", "unknown");
        }
    }

    /// <summary>
    /// Every instant at which anything that is known changes has its row, in time's order. A level is unknown within (look before, look that saw) of a change, and from a gap's beginning to its end, or to the look behind it
    /// that saw a change which may have been made inside.
    /// </summary>
    private static void AssertEveryRow<TRow>(Capture capture, IEnumerable<TRow> rows, Func<TRow, long> time, Func<TRow, IEnumerable<string>> fields, string unknown, string unread)
    {
        var instants = new HashSet<long> { 0, capture.End.Picoseconds };
        foreach (var change in capture.Signals.SelectMany(signal => signal.Changes))
            instants.UnionWith([change.After.Picoseconds, change.NotAfter.Picoseconds]);
        foreach (var gap in capture.Gaps)
            instants.UnionWith([gap.From.Picoseconds, gap.To.Picoseconds]);
        instants.UnionWith(capture.Levels.Select(level => level.At.Picoseconds));
        instants.RemoveWhere(instant => instant > capture.End.Picoseconds);
        var told = rows.ToList();
        Assert.Superset(instants, told.Select(time).ToHashSet());
        Assert.Equal(told.Select(time).Distinct().Order(), told.Select(time));
        foreach (var row in told)
        {
            var at = new Instant(time(row));
            string Level(Signal signal)
            {
                var inGap = capture.Gaps.Any(gap => gap.From <= at && (at < gap.To || signal.Changes.Any(change => change.After < gap.To && gap.To <= change.NotAfter && at < change.NotAfter)));
                return inGap || signal.Changes.Any(change => change.After < at && at < change.NotAfter) ? unknown : Digit(signal.LevelAt(at));
            }

            var volts = capture.Levels.Select(level => level.At == at ? level.Mean.Value.ToString("R", CultureInfo.InvariantCulture) : unread);
            Assert.Equal([.. capture.Signals.Select(Level), .. volts], fields(row));
        }
    }

    /// <summary>
    /// By hand: the looks are 10 us apart and see "a" rise between 10 and 20, while something sharper knows that "b" falls between 12 and 14. Between 30 and 40 nobody looks, and the next look, at 50, finds "a" low.
    /// </summary>
    [Fact]
    public async Task Each_change_lies_between_two_rows()
    {
        var capture = new Capture(
            new(62_500), new(10_000_000), 0.005, At(60),
            [new("a", Level.Low, [new(At(10), At(20), Level.High), new(At(30), At(50), Level.Low)]), new("b", Level.High, [new(At(12), At(14), Level.Low)])],
            [new(At(30), At(40), GapReason.MeasuringLevels)],
            [new("b", At(30), new(0.25), new(0.2), new(0.3), 8, new(0.01))],
            new(CaptureOutcome.Complete, null));
        Assert.Equal(
            """
            time [us],a,b,b voltage [V]
            0.000000,0,1,
            10.000000,0,1,
            12.000000,x,1,
            14.000000,x,0,
            20.000000,1,0,
            30.000000,x,x,0.25
            40.000000,x,0,
            50.000000,0,0,
            60.000000,0,0,

            """.ReplaceLineEndings("\r\n"),
            Encoding.UTF8.GetString(await WriteAsync(capture, CaptureForm.Csv)));
    }

    private static string Digit(Level level) => level == Level.High ? "1" : "0";

    private static Instant At(long microseconds) => Instant.Start + Duration.FromMicroseconds(microseconds);
}
