using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>What one step of a dump's times is (IEEE 1364-2005 clause 18.2.3.5): 1, 10 or 100 s, ms, us, ns, ps or fs.</summary>
/// <param name="Number">1, 10 or 100.</param>
/// <param name="Unit">As written.</param>
public sealed record VcdTimescale(int Number, string Unit)
{
    public static readonly string[] Units = ["s", "ms", "us", "ns", "ps", "fs"];

    /// <summary>Steps of fs count in femtoseconds, all others in picoseconds: so each is a whole number.</summary>
    private bool IsFine => Unit == "fs";

    private long Size => Number * Unit switch
    {
        "s" => 1_000_000_000_000,
        "ms" => 1_000_000_000,
        "us" => 1_000_000,
        "ns" => 1_000,
        _ => 1L,
    };

    /// <summary>One step; below a picosecond, one picosecond.</summary>
    public Duration Step => new(IsFine ? 1 : Size);

    /// <summary>
    /// So many steps from the start, in whole picoseconds. What lies between two of them is rounded up: then the picosecond that ends there holds the whole step in which the change was made.
    /// </summary>
    /// <param name="steps">Not negative.</param>
    /// <returns>Null beyond the range of an instant, about 106 days.</returns>
    public Instant? At(ulong steps)
    {
        var picoseconds = IsFine ? (((UInt128)steps * (ulong)Number) + 999) / 1000 : (UInt128)steps * (ulong)Size;
        return picoseconds > long.MaxValue ? null : new Instant((long)picoseconds);
    }

    /// <param name="text">Number and unit, with or without a blank between them.</param>
    /// <returns>Null when it is no timescale that the standard permits.</returns>
    public static VcdTimescale? Read(string text)
    {
        var digits = text.TakeWhile(char.IsAsciiDigit).Count();
        var unit = text[digits..].Trim();
        return text[..digits] is "1" or "10" or "100" && Units.Contains(unit) ? new(int.Parse(text[..digits], CultureInfo.InvariantCulture), unit) : null;
    }

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Number} {Unit}");
}
