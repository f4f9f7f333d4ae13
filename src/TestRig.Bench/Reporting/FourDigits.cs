using System.Globalization;

namespace TestRig.Bench.Reporting;

/// <summary>Values for other programs, as short as they are known: no figure of a part is known to more than four digits.</summary>
internal static class FourDigits
{
    /// <summary>The double that is nearest to the decimal number of four significant digits, so that it is written as that.</summary>
    public static double Of(double value) => double.Parse(value.ToString("E3", CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);

    public static double? Of(double? value) => value is { } some ? Of(some) : null;
}
