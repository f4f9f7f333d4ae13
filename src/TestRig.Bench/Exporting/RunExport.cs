using System.Globalization;
using System.Text;
using CsvHelper;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Core.Trials;

namespace TestRig.Bench.Exporting;

/// <summary>Writes what a run measured as a table: comma-separated values (RFC 4180), or Apache Parquet.</summary>
public static class RunExport
{
    private const string Csv = ".csv", Parquet = ".parquet";

    /// <summary>Whether the file's ending says how to write it.</summary>
    public static bool CanWrite(string file) => file.EndsWith(Csv, StringComparison.OrdinalIgnoreCase) || file.EndsWith(Parquet, StringComparison.OrdinalIgnoreCase);

    /// <summary>The figures of a run's cycles.</summary>
    /// <returns>Rows written.</returns>
    /// <exception cref="RunStorageException">The file cannot be written; one of that name is as it was.</exception>
    public static Task<long> WriteAsync(IAsyncEnumerable<CycleRecord> cycles, string file, CancellationToken cancellation) =>
        WriteAsync(cycles.SelectMany(FigureRow.Of), FigureRow.Parquet, file, cancellation);

    /// <summary>The figures of the parts of a trial.</summary>
    /// <param name="judge">Of the same trial.</param>
    /// <inheritdoc cref="WriteAsync(IAsyncEnumerable{CycleRecord}, string, CancellationToken)"/>
    public static Task<long> WriteAsync(IEnumerable<TriedPart> parts, TrialJudge judge, string file, CancellationToken cancellation) =>
        WriteAsync(parts.SelectMany(part => TrialRow.Of(part, judge)).ToAsyncEnumerable(), TrialRow.Parquet, file, cancellation);

    private static async Task<long> WriteAsync<TRow>(IAsyncEnumerable<TRow> rows, ParquetTable<TRow> parquet, string file, CancellationToken cancellation)
    {
        var draft = file + ".part";
        try
        {
            long written;
            await using (var target = File.Create(draft))
                written = file.EndsWith(Csv, StringComparison.OrdinalIgnoreCase) ? await WriteCsvAsync(rows, target, cancellation) : await parquet.WriteAsync(rows, target, cancellation);
            File.Move(draft, file, overwrite: true);
            return written;
        }
        catch (Exception cause) when (cause is IOException or UnauthorizedAccessException)
        {
            throw new RunStorageException($"Cannot write {file}: {cause.Message.TrimEnd('.')}. Name another file with --to.", cause);
        }
        finally
        {
            if (File.Exists(draft))
                File.Delete(draft);
        }
    }

    private static async Task<long> WriteCsvAsync<TRow>(IAsyncEnumerable<TRow> rows, Stream target, CancellationToken cancellation)
    {
        await using var text = new StreamWriter(target, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true) { NewLine = "\r\n" };
        await using var csv = new CsvWriter(text, CultureInfo.InvariantCulture);
        csv.WriteHeader<TRow>();
        await csv.NextRecordAsync();
        var written = 0L;
        await foreach (var row in rows.WithCancellation(cancellation))
        {
            csv.WriteRecord(row);
            await csv.NextRecordAsync();
            written++;
        }
        return written;
    }
}
