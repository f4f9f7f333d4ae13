using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>
/// The figures of one cycle as bytes, by series number. Runs of numbers that follow one another: how many numbers are left out before it, how many it has, then its values. A healthy cycle is one run.
/// </summary>
internal static class FigurePack
{
    /// <param name="figures">Ascending by series number, from 0 on, each number once.</param>
    public static byte[] Pack(ImmutableArray<(int Series, long Value)> figures)
    {
        using var writer = new PackedWriter();
        var due = 0;
        for (var start = 0; start < figures.Length;)
        {
            var end = start + 1;
            while (end < figures.Length && figures[end].Series == figures[end - 1].Series + 1)
                end++;
            writer.Count(figures[start].Series - due);
            writer.Count(end - start);
            foreach (var (_, value) in figures.AsSpan(start, end - start))
                writer.Whole(value);
            due = figures[end - 1].Series + 1;
            start = end;
        }
        return writer.ToArray();
    }

    /// <exception cref="InvalidDataException">These bytes are no figures; so do the other exceptions of <see cref="PackedReader"/> say.</exception>
    public static ImmutableArray<(int Series, long Value)> Unpack(byte[] bytes)
    {
        using var reader = new PackedReader(bytes);
        var figures = ImmutableArray.CreateBuilder<(int, long)>();
        var due = 0;
        while (!reader.AtEnd)
        {
            due += reader.Count();
            foreach (var value in reader.Many(reader.Whole))
                figures.Add((due++, value));
        }
        return figures.ToImmutable();
    }
}
