using Parquet;
using Parquet.Schema;

namespace TestRig.Bench.Exporting;

/// <summary>The columns of a table as Parquet has them: named as in the comma-separated one.</summary>
internal sealed class ParquetTable<TRow>(params ParquetColumn<TRow>[] columns)
{
    public ParquetSchema Schema { get; } = new([.. columns.Select(column => (Field)column.Field)]);

    /// <summary>One row group.</summary>
    public async Task WriteAsync(ParquetWriter writer, IReadOnlyList<TRow> rows, CancellationToken cancellation)
    {
        using var group = writer.CreateRowGroup();
        foreach (var column in columns)
            await column.WriteAsync(group, rows, cancellation);
        group.CompleteValidate();
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

    public static ParquetColumn<TRow> Text(string name, Func<TRow, string?> of)
    {
        var field = new DataField<string>(name, nullable: true);
        return new(field, (group, rows, _) => group.WriteAsync(field, rows.Select(row => of(row)!).ToArray()));
    }
}
