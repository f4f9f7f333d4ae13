using Parquet;
using Parquet.Schema;

namespace TestRig.Bench.Exporting;

/// <summary>The columns of a table as Parquet has them: named as in the comma-separated one.</summary>
internal sealed class ParquetTable<TRow>(params ParquetColumn<TRow>[] columns)
{
    /// <summary>Rows in memory at a time, and in a row group.</summary>
    private const int RowsOfGroup = 50_000;

    /// <returns>Rows written.</returns>
    public async Task<long> WriteAsync(IAsyncEnumerable<TRow> rows, Stream target, CancellationToken cancellation)
    {
        var schema = new ParquetSchema([.. columns.Select(column => (Field)column.Field)]);
        await using var writer = await ParquetWriter.CreateAsync(schema, target, cancellationToken: cancellation);
        var group = new List<TRow>();
        var written = 0L;
        await foreach (var row in rows.WithCancellation(cancellation))
        {
            group.Add(row);
            if (group.Count == RowsOfGroup)
                await WriteGroupAsync();
        }
        // A table without a group has no rows, and is one.
        if (group.Count > 0)
            await WriteGroupAsync();
        return written;

        async Task WriteGroupAsync()
        {
            using var target = writer.CreateRowGroup();
            foreach (var column in columns)
                await column.WriteAsync(target, group, cancellation);
            target.CompleteValidate();
            written += group.Count;
            group.Clear();
        }
    }
}

/// <param name="Field">Its name and type.</param>
/// <param name="WriteAsync">Its values of these rows.</param>
internal sealed record ParquetColumn<TRow>(DataField Field, Func<ParquetRowGroupWriter, IReadOnlyList<TRow>, CancellationToken, Task> WriteAsync)
{
    public static ParquetColumn<TRow> Whole(string name, Func<TRow, long> of)
    {
        var field = new DataField<long>(name);
        return new(field, (group, rows, cancellation) => group.WriteAsync<long>(field, rows.Select(of).ToArray(), cancellationToken: cancellation));
    }

    public static ParquetColumn<TRow> Number(string name, Func<TRow, double> of)
    {
        var field = new DataField<double>(name);
        return new(field, (group, rows, cancellation) => group.WriteAsync<double>(field, rows.Select(of).ToArray(), cancellationToken: cancellation));
    }

    public static ParquetColumn<TRow> Number(string name, Func<TRow, double?> of)
    {
        var field = new DataField<double?>(name);
        return new(field, (group, rows, cancellation) => group.WriteAsync<double>(field, rows.Select(of).ToArray(), cancellationToken: cancellation));
    }

    public static ParquetColumn<TRow> Truth(string name, Func<TRow, bool?> of)
    {
        var field = new DataField<bool?>(name);
        return new(field, (group, rows, cancellation) => group.WriteAsync<bool>(field, rows.Select(of).ToArray(), cancellationToken: cancellation));
    }

    public static ParquetColumn<TRow> Text(string name, Func<TRow, string?> of)
    {
        var field = new DataField<string>(name, nullable: true);
        return new(field, (group, rows, _) => group.WriteAsync(field, rows.Select(row => of(row)!).ToArray()));
    }
}
