using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>
/// The changes of one signal divided among the pixel columns of a view, so that drawing costs what the picture is wide and not what the capture is
/// long. Nothing is lost: a column knows how many changes fell into it.
/// </summary>
public sealed class EdgeColumns
{
    private readonly int[] _first;

    private EdgeColumns(int[] first) => _first = first;

    public int Count => _first.Length - 1;

    /// <param name="changes">Ascending in time.</param>
    /// <param name="from">Left edge of the first column; it belongs to it.</param>
    /// <param name="to">Right edge of the last column; it belongs to it. After <paramref name="from"/>.</param>
    /// <param name="columns">At least 1.</param>
    public static EdgeColumns Divide(ReadOnlySpan<Change> changes, Instant from, Instant to, int columns)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        if (to <= from)
            throw new ArgumentException($"a view must end after it starts, not from {from} to {to}", nameof(to));

        var first = new int[columns + 1];
        var at = 0;
        for (var column = 0; column < columns; column++)
        {
            at = FirstNotBefore(changes, at, LeftEdge(from, to, column, columns));
            first[column] = at;
        }
        first[columns] = FirstNotBefore(changes, at, new(checked(to.Picoseconds + 1)));
        return new(first);
    }

    /// <summary>Index of the column's first change; where the column has none, of the next change after it.</summary>
    public int FirstIn(int column) => _first[column];

    public int ChangesIn(int column) => _first[column + 1] - _first[column];

    /// <summary>True where two changes are too close to be told apart by eye: in this column, or in this one and the next.</summary>
    public bool HidesPulse(int column) =>
        ChangesIn(column) > 1 || (ChangesIn(column) == 1 && column + 1 < Count && ChangesIn(column + 1) > 0);

    /// <summary>The left edge of a column, exact over the whole range of instants.</summary>
    public static Instant LeftEdge(Instant from, Instant to, int column, int columns) =>
        new((long)(from.Picoseconds + ((Int128)(to.Picoseconds - from.Picoseconds) * column / columns)));

    /// <summary>
    /// Gallops: doubles its stride until it is past the instant, then halves. Costs the logarithm of the distance, which suits both a column without
    /// changes and one with a million.
    /// </summary>
    private static int FirstNotBefore(ReadOnlySpan<Change> changes, int start, Instant instant)
    {
        var low = start;
        var stride = 1;
        while (low + stride <= changes.Length && changes[low + stride - 1].Estimate < instant)
        {
            low += stride;
            stride *= 2;
        }
        var high = Math.Min(low + stride, changes.Length);
        while (low < high)
        {
            var middle = low + ((high - low) / 2);
            if (changes[middle].Estimate < instant)
                low = middle + 1;
            else
                high = middle;
        }
        return low;
    }
}
