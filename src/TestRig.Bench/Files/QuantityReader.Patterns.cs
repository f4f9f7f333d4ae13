namespace TestRig.Bench.Files;

/// <content>How the quantities look, as regular expressions made from the same tables of units, for the schema.</content>
internal sealed partial class QuantityReader
{
    private const string Number = @"[0-9]{1,12}(?:\.[0-9]{1,12})?";

    private const string ToleranceSigns = @"(?:±|\+/-|\+-)";

    public static string VoltsPattern => Whole(Of(Voltages));

    public static string SharePattern => Whole($@"(?:±\s*)?{Of(Shares)}");

    public static string OhmsPattern => Whole(Of(Resistances));

    public static string FractionPattern => Whole(Of(Shares));

    public static string DurationPattern => Whole(Of(Times));

    public static string VoltsWithTolerancePattern => Whole($@"{Of(Voltages)}\s*{ToleranceSigns}\s*{Of(Shares)}");

    public static string DividerPattern => Whole($@"{Of(Resistances)}\s*/\s*{Of(Resistances)}(?:\s*{ToleranceSigns}\s*{Of(Shares)})?");

    public static string ResistorToSupplyPattern => Whole($@"{Of(Resistances)}\s* to \s*\S+");

    /// <summary>Without a unit at the first end when the second has it.</summary>
    public static string DurationRangePattern => Whole($@"(?:\+?{Number}\s*{UnitsOf(Times)}?)?\s*\.\.\s*{Of(Times)}");

    public static string CountRangePattern => Whole(@"[0-9]+\s*\.\.\s*[0-9]+");

    public static string CountAtMostPattern => Whole(@"0?\s*\.\.\s*[0-9]+");

    private static string Of(UnitTable table) => $@"\+?{Number}\s*{UnitsOf(table)}";

    private static string UnitsOf(UnitTable table) => $"(?:{string.Join('|', table.Units.Keys.Order(StringComparer.Ordinal))})";

    private static string Whole(string pattern) => $"^{pattern}$";
}
