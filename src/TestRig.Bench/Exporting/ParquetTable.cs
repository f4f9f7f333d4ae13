using Parquet;
using Parquet.Schema;

namespace TestRig.Bench.Exporting;

/// <summary>The columns of an exported run as Parquet has them: named as in the comma-separated table.</summary>
internal static class ParquetTable
{
    private static readonly DataField<long> _cycle = new(nameof(FigureRow.Cycle));
    private static readonly DataField<double> _took = new(nameof(FigureRow.TookSeconds));
    private static readonly (DataField Field, Func<FigureRow, string?> Of)[] _texts =
    [
        Text(nameof(FigureRow.Started), row => row.Started), Text(nameof(FigureRow.Outcome), row => row.Outcome), Text(nameof(FigureRow.Channel), row => row.Channel), Text(nameof(FigureRow.Condition), row => row.Condition),
        Text(nameof(FigureRow.TestPoint), row => row.TestPoint), Text(nameof(FigureRow.Expected), row => row.Expected), Text(nameof(FigureRow.Figure), row => row.Figure), Text(nameof(FigureRow.Unit), row => row.Unit),
    ];

    private static readonly (DataField<double?> Field, Func<FigureRow, double?> Of)[] _numbers =
        [(new(nameof(FigureRow.Value)), row => row.Value), (new(nameof(FigureRow.Lowest)), row => row.Lowest), (new(nameof(FigureRow.Highest)), row => row.Highest)];

    public static ParquetSchema Schema { get; } = new([_cycle, _took, .. _texts.Select(text => text.Field), .. _numbers.Select(number => (Field)number.Field)]);

    /// <summary>One row group.</summary>
    public static async Task WriteAsync(ParquetWriter writer, IReadOnlyList<FigureRow> rows, CancellationToken cancellation)
    {
        using var group = writer.CreateRowGroup();
        await group.WriteAsync<long>(_cycle, rows.Select(row => row.Cycle).ToArray(), cancellationToken: cancellation);
        await group.WriteAsync<double>(_took, rows.Select(row => row.TookSeconds).ToArray(), cancellationToken: cancellation);
        foreach (var (field, of) in _texts)
            await group.WriteAsync(field, rows.Select(row => of(row)!).ToArray());
        foreach (var (field, of) in _numbers)
            await group.WriteAsync<double>(field, rows.Select(of).ToArray(), cancellationToken: cancellation);
        group.CompleteValidate();
    }

    private static (DataField Field, Func<FigureRow, string?> Of) Text(string name, Func<FigureRow, string?> of) => (new DataField<string>(name, nullable: true), of);
}
