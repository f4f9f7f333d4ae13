using System.Globalization;
using System.Text;
using CsvHelper;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exporting;

/// <summary>The captures of a sweep, or of a soak's cycle, for other programs.</summary>
/// <param name="program">The version of the program that writes them.</param>
public sealed class CaptureExport(SweepResult sweep, string program)
{
    /// <summary>Exact to the adapter's tick, with all that is needed to judge it again.</summary>
    /// <param name="channel">That was exercised.</param>
    public string ToVcd(ChannelResult channel)
    {
        var heading = new CaptureHeading(Words.Simulated(sweep.Adapter) + sweep.Board.Name, channel.Channel.Name, Words.Adapter(sweep.Adapter), sweep.Started, program);
        return CaptureVcd.Write(heading, channel.Capture!, Commanded(channel));
    }

    /// <summary>
    /// A value change dump; or a row for each instant at which anything known changed: the time, a level for each signal (0 or 1, and 'x' in comma-separated values, nothing in Parquet, where it was not known), and the
    /// voltages where readings began. Times are microseconds with six decimals in comma-separated values, whole picoseconds in Parquet; voltages are volts.
    /// </summary>
    /// <inheritdoc cref="ToVcd"/>
    public async Task<byte[]> ToBytesAsync(ChannelResult channel, CaptureForm form, CancellationToken cancellation)
    {
        using var target = new MemoryStream();
        switch (form)
        {
            case CaptureForm.Vcd:
                return Encoding.UTF8.GetBytes(ToVcd(channel));
            case CaptureForm.Csv:
                await WriteCsvAsync(channel.Capture!, target);
                break;
            case CaptureForm.Parquet:
                var table = new CaptureTable(channel.Capture!);
                await Columns(channel.Capture!, table).WriteAsync(table.Rows().ToAsyncEnumerable(), target, cancellation);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(form), form, "Unknown form.");
        }
        return target.ToArray();
    }

    private static async Task WriteCsvAsync(Capture capture, Stream target)
    {
        await using var text = new StreamWriter(target, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true);
        await using var csv = new CsvWriter(text, CultureInfo.InvariantCulture);
        var table = new CaptureTable(capture);
        csv.WriteField("time [us]");
        foreach (var signal in capture.Signals)
            csv.WriteField(signal.Name);
        foreach (var point in table.Voltages)
            csv.WriteField(VoltageOf(point));
        foreach (var row in table.Rows())
        {
            await csv.NextRecordAsync();
            csv.WriteField((row.At.Picoseconds / 1e6m).ToString("0.000000", CultureInfo.InvariantCulture));
            foreach (var level in row.Levels)
                csv.WriteField(level switch { Level.High => "1", Level.Low => "0", _ => "x" });
            foreach (var volts in row.Volts)
                csv.WriteField(double.IsNaN(volts) ? "" : volts.ToString("R", CultureInfo.InvariantCulture));
        }
        await csv.NextRecordAsync();
    }

    private static ParquetTable<CaptureRow> Columns(Capture capture, CaptureTable table) => new(
        [
            ParquetColumn<CaptureRow>.Whole("time [ps]", row => row.At.Picoseconds),
            .. capture.Signals.Select((signal, index) => ParquetColumn<CaptureRow>.Truth(signal.Name, row => row.Levels[index] is { } level ? level == Level.High : null)),
            .. table.Voltages.Select((point, index) => ParquetColumn<CaptureRow>.Number(VoltageOf(point), row => double.IsNaN(row.Volts[index]) ? null : row.Volts[index])),
        ]);

    /// <summary>The column of a point's voltages, beside the one of its levels.</summary>
    private static string VoltageOf(string point) => $"{point} voltage [V]";

    /// <summary>Null of a channel that was watched while nothing was commanded.</summary>
    private static Exercise? Commanded(ChannelResult channel) => channel.Record?.Exercise is { } exercise && exercise.OffAt > exercise.OnAt ? exercise : null;
}
