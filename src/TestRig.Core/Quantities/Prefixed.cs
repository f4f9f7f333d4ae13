using System.Globalization;

namespace TestRig.Core.Quantities;

/// <summary>Writes a value with the SI prefix that leaves one to three digits before the point.</summary>
internal static class Prefixed
{
    public static string Format(double value, string unit)
    {
        var magnitude = Math.Abs(value);
        var (scale, prefix) = magnitude switch
        {
            0 => (1.0, ""),
            < 1e-9 => (1e-12, "p"),
            < 1e-6 => (1e-9, "n"),
            < 1e-3 => (1e-6, "µ"),
            < 1 => (1e-3, "m"),
            < 1e3 => (1.0, ""),
            < 1e6 => (1e3, "k"),
            _ => (1e6, "M"),
        };
        var scaled = value / scale;
        var decimals = Math.Abs(scaled) switch { >= 100 => 0, >= 10 => 1, _ => 2 };
        return Math.Round(scaled, decimals).ToString("0.##", CultureInfo.InvariantCulture) + " " + prefix + unit;
    }
}
