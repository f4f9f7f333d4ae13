using TestRig.Bench.Storage;

namespace TestRig.Bench.Plotting;

/// <summary>From a stored figure to the number on an axis.</summary>
/// <param name="Divisor">Stored units in one of the axis.</param>
internal sealed record FigureScale(string Unit, double Divisor)
{
    /// <param name="most">The largest value, in stored units: that it is legible decides.</param>
    public static FigureScale For(FigureKind kind, long most) => kind switch
    {
        FigureKind.Delay or FigureKind.SettleTime when TimeUnit.For(new(Math.Max(most, 1))) is var unit => new(unit.Symbol, unit.Picoseconds),
        FigureKind.Level => new("V", 1e6),
        FigureKind.Rate when most >= 1_000_000_000 => new("kHz", 1e9),
        FigureKind.Rate => new("Hz", 1e6),
        _ => new("", 1),
    };

    public double Of(double stored) => stored / Divisor;
}
