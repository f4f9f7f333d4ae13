using System.Globalization;

namespace TestRig.Bench.Recordings;

/// <summary>A variable as a dump declares it.</summary>
/// <param name="Scope">Names of the scopes around it, outermost first, separated by dots; empty outside any.</param>
/// <param name="Kind">Its type as written: wire, reg, integer, real, …</param>
/// <param name="Size">Bits, at least 1; 64 of a real.</param>
/// <param name="Name">Its reference without range; of an escaped identifier without the backslash.</param>
/// <param name="Range">Numbers of its most and least significant bit, the same for a single bit; null where it has none.</param>
/// <param name="Code">Index of its identifier code, below <see cref="VcdHeader.Codes"/>; variables that share a code have always the same value.</param>
public sealed record VcdVariable(string Scope, string Kind, int Size, string Name, (int Most, int Least)? Range, int Code)
{
    /// <summary>Its value is a real number.</summary>
    public bool IsReal => Kind is "real" or "realtime";

    /// <summary>Scope, name and, of a single bit, its number: "top.port[3]".</summary>
    public string Path
    {
        get
        {
            var name = Scope.Length > 0 ? $"{Scope}.{Name}" : Name;
            return Size == 1 && Range is var (bit, _) ? string.Create(CultureInfo.InvariantCulture, $"{name}[{bit}]") : name;
        }
    }

    /// <summary>The place of a bit, counted from the most significant one, by the number that the range gives it; null where there is no such bit.</summary>
    public int? PlaceOf(int bit)
    {
        var (most, least) = Range ?? (Size - 1, 0);
        var place = most >= least ? most - bit : bit - most;
        return place >= 0 && place < Size ? place : null;
    }
}
