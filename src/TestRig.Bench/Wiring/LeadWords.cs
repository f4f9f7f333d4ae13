using System.Globalization;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Wiring;

/// <summary>The words of a lead, the same on the screen and on the printed page.</summary>
internal static class LeadWords
{
    /// <summary>What the lead goes through: "1 kohm", "100 kohm / 47 kohm ±1 %".</summary>
    public static string Through(Lead lead) => lead.Divider is { } divider
        ? string.Create(CultureInfo.InvariantCulture, $"{divider.Upper} / {divider.Lower} ±{divider.Tolerance * 100:0.##} %")
        : lead.Series?.ToString() ?? "straight";

    /// <summary>The worst case at the adapter's pin: "4.28 V"; "?" when the profile does not tell.</summary>
    public static string AtMost(Lead lead) => lead.HighestAtPin is { } highest ? RoundedUp(highest).ToString() : "?";

    /// <summary>What the point is and which ground it refers to.</summary>
    public static string Remark(Lead lead) => string.Join("; ", Remarks(lead));

    public static IEnumerable<string> Remarks(Lead lead) =>
        ((string[])[lead.Remark, lead.Ground is { } ground ? $"ground {ground}" : ""]).Where(words => words.Length > 0);

    /// <summary>A bound that is rounded must stay one.</summary>
    private static Volts RoundedUp(Volts volts) => new(Math.Ceiling(Math.Round(volts.Value * 100, 6)) / 100);
}
