using System.Globalization;
using System.Text;
using CsvHelper;
using Parquet;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Exporting;

/// <summary>Writes what a run measured as a table: comma-separated values (RFC 4180), or Apache Parquet.</summary>
public static class RunExport
{
    private const string Csv = ".csv", Parquet = ".parquet";

    /// <summary>Rows in memory at a time.</summary>
    private const int RowsOfGroup = 50_000;

    /// <summary>Whether the file's ending says how to write it.</summary>
    public static bool CanWrite(string file) => file.EndsWith(Csv, StringComparison.OrdinalIgnoreCase) || file.EndsWith(Parquet, StringComparison.OrdinalIgnoreCase);

    /// <returns>Rows written.</returns>
    /// <exception cref="RunStorageException">The file cannot be written; one of that name is as it was.</exception>
    public static async Task<long> WriteAsync(IAsyncEnumerable<CycleRecord> cycles, string file, CancellationToken cancellation)
    {
        var draft = file + ".part";
        try
        {
            long rows;
            await using (var target = File.Create(draft))
                rows = file.EndsWith(Csv, StringComparison.OrdinalIgnoreCase) ? await WriteCsvAsync(cycles, target, cancellation) : await WriteParquetAsync(cycles, target, cancellation);
            File.Move(draft, file, overwrite: true);
            return rows;
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

    private static async Task<long> WriteCsvAsync(IAsyncEnumerable<CycleRecord> cycles, Stream target, CancellationToken cancellation)
    {
        await using var text = new StreamWriter(target, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false), leaveOpen: true) { NewLine = "\r\n" };
        await using var csv = new CsvWriter(text, CultureInfo.InvariantCulture);
        csv.WriteHeader<FigureRow>();
        await csv.NextRecordAsync();
        var rows = 0L;
        await foreach (var cycle in cycles.WithCancellation(cancellation))
        {
            foreach (var row in FigureRow.Of(cycle))
            {
                csv.WriteRecord(row);
                await csv.NextRecordAsync();
                rows++;
            }
        }
        return rows;
    }

    private static async Task<long> WriteParquetAsync(IAsyncEnumerable<CycleRecord> cycles, Stream target, CancellationToken cancellation)
    {
        await using var writer = await ParquetWriter.CreateAsync(ParquetTable.Schema, target, cancellationToken: cancellation);
        var group = new List<FigureRow>(RowsOfGroup);
        var rows = 0L;
        await foreach (var cycle in cycles.WithCancellation(cancellation))
        {
            group.AddRange(FigureRow.Of(cycle));
            if (group.Count >= RowsOfGroup)
                await WriteGroupAsync();
        }
        // A table without a group has no rows, and is one.
        if (group.Count > 0)
            await WriteGroupAsync();
        return rows;

        async Task WriteGroupAsync()
        {
            await ParquetTable.WriteAsync(writer, group, cancellation);
            rows += group.Count;
            group.Clear();
        }
    }
}
