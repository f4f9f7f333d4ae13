using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Service;

/// <summary>The stretch of a capture that a picture shows, and those that one comes to from there. The script of the page does the same sums.</summary>
/// <param name="From">From the start of the capture.</param>
/// <param name="Length">Of the whole capture.</param>
/// <param name="Least">Closer up there is nothing more to see.</param>
public sealed record PlotRange(Duration From, Duration To, Duration Length, Duration Least)
{
    /// <summary>Bounds are as round as leaves a step of at most this part of the stretch.</summary>
    private const double Fineness = 1000;

    public bool IsWhole => From == Duration.Zero && To == Length;

    /// <summary>Half as long about the same middle; null where there is nothing more to see.</summary>
    public PlotRange? Nearer => Shown <= Least ? null : About(0.5);

    /// <summary>Twice as long; null of the whole.</summary>
    public PlotRange? Farther => IsWhole ? null : About(2);

    /// <summary>Half its length to the left; null where it begins with the capture.</summary>
    public PlotRange? Earlier => From == Duration.Zero ? null : At(From - Shown.Scaled(0.5), Shown);

    /// <summary>Half its length to the right; null where it ends with the capture.</summary>
    public PlotRange? Later => To == Length ? null : At(From + Shown.Scaled(0.5), Shown);

    /// <summary>As parameters of an address; empty of the whole.</summary>
    public string Query => IsWhole ? "" : $"from={Text(From)}&to={Text(To)}";

    private Duration Shown => To - From;

    /// <summary>A time as an address has it, exact: "4.9ms".</summary>
    public static string Text(Duration time)
    {
        var (unit, picoseconds) = time.Picoseconds switch
        {
            0 => ("", 1L),
            < 1_000_000 => ("ns", 1_000L),
            < 1_000_000_000 => ("us", 1_000_000L),
            < 1_000_000_000_000 => ("ms", 1_000_000_000L),
            _ => ("s", 1_000_000_000_000L),
        };
        return ((decimal)time.Picoseconds / picoseconds).ToString("0.############", CultureInfo.InvariantCulture) + unit;
    }

    private PlotRange About(double factor)
    {
        var length = Duration.Min(Duration.Max(Shown.Scaled(factor), Least), Length);
        return At(From + (Shown - length).Scaled(0.5), length);
    }

    /// <summary>Pushed into the capture where it reaches out of it.</summary>
    private PlotRange At(Duration from, Duration length)
    {
        var begin = Duration.Max(Duration.Zero, Duration.Min(from, Length - length));
        var step = (long)Math.Pow(10, Math.Floor(Math.Log10(Math.Max(1, length.Picoseconds / Fineness))));
        Duration Rounded(Duration time) => new((long)Math.Round((double)time.Picoseconds / step) * step);
        return this with { From = Rounded(begin), To = Duration.Min(Length, begin + length == Length ? Length : Rounded(begin + length)) };
    }
}
