using System.Globalization;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;
using TestRig.Core.Trials;

namespace TestRig.Bench.Trials;

/// <summary>What screen and page say of a trial.</summary>
public static class TrialWords
{
    public static string Of(TrialFigure figure) => figure switch
    {
        TrialFigure.LedForward => "forward voltage",
        TrialFigure.TransferRatio => "transfer ratio",
        TrialFigure.OnDelay => "on delay",
        TrialFigure.OffDelay => "off delay",
        TrialFigure.Leakage => "leakage",
        _ => throw new ArgumentOutOfRangeException(nameof(figure), figure, "Unknown figure."),
    };

    public static string Of(TrialVerdict verdict) => verdict switch
    {
        TrialVerdict.Conforms => "conforms",
        TrialVerdict.Violates => "VIOLATES",
        TrialVerdict.NotResolved => "not resolved",
        TrialVerdict.NoLimit => "no limit",
        _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "Unknown verdict."),
    };

    /// <summary>"71.2 ±1.6 %", "≥ 231 %"; a dash where nothing was measured.</summary>
    public static string Value(TrialFigure figure, Estimate? value)
    {
        if (value is null)
            return "–";
        var (scale, unit) = ScaleOf(figure, value);
        var (shown, within) = (value.Value / scale, value.Expanded / scale);
        var decimals = within >= 10 ? 0 : within >= 1 ? 1 : 2;
        // 0 has no sign.
        var number = Math.Round(shown, decimals) + 0.0;
        var digits = "0." + new string('0', decimals);
        return value.AtLeast
            ? $"≥ {Number(shown - within, digits)} {unit}"
            : $"{Number(number, digits)} ±{Number(within, digits)} {unit}";
    }

    /// <summary>"at least 20 %", "4.2 to 31 µs", "at most 50 nA".</summary>
    public static string Limit(TrialLimit limit)
    {
        var (minimum, maximum) = (limit.Minimum is { } least ? Plain(limit.Figure, least) : null, limit.Maximum is { } most ? Plain(limit.Figure, most) : null);
        return minimum is null ? $"at most {maximum}" : maximum is null ? $"at least {minimum}" : $"{minimum} to {maximum}";
    }

    /// <summary>What is wrong, or not known, of one figure: "transfer ratio 8.1 ±0.2 %, at least 20 % permitted".</summary>
    public static string Sentence(JudgedFigure judged)
    {
        var words = judged.Value is null ? Of(judged.Figure) : $"{Of(judged.Figure)} {Value(judged.Figure, judged.Value)}";
        var permitted = judged.Limit is { } limit ? $", {Limit(limit)} permitted" : "";
        return $"{words}{permitted}{(judged.Because is { } because ? $": {because}" : "")}";
    }

    public static string Of(Outlier outlier) => string.Create(
        CultureInfo.InvariantCulture,
        $"part {outlier.Number}: {Of(outlier.Figure)}, modified z-score {outlier.Score:0.0}");

    /// <summary>What an outlier is, and is not.</summary>
    public static string OutlierNote { get; } = string.Create(
        CultureInfo.InvariantCulture, $"an outlier lies far from the others of its batch (modified z-score beyond ±{ModifiedZScore.Limit}, and beyond its uncertainty): different, which is not yet faulty");

    /// <summary>"71.2 ±1.6" under a heading that has the unit, <see cref="Unit"/>; the leakage keeps its own.</summary>
    public static string Cell(TrialFigure figure, Estimate? value) =>
        figure == TrialFigure.Leakage || value is null ? Value(figure, value) : Value(figure, value)[..^(Unit(figure).Length + 1)];

    /// <summary>Of all figures but the leakage, which goes from nanoamperes to milliamperes.</summary>
    public static string Unit(TrialFigure figure) => ScaleOf(figure, new(0, 0)).Unit;

    /// <summary>What the measured parts say of the delivery that they were drawn from; null where they say nothing.</summary>
    public static string? Tolerance(BatchTrial batch) => batch.TransferRatio switch
    {
        { Lower: { } lower, Upper: { } upper } limits => string.Create(
            CultureInfo.InvariantCulture, $"transfer ratio {Math.Max(0, lower) * 100:0} to {upper * 100:0} % holds {BatchTrial.Aim}, from {limits.Number} parts (ISO 16269-6), if they are a fair sample"),
        { NumberNeeded: { } needed } limits => string.Create(
            CultureInfo.InvariantCulture, $"{limits.Number} parts are too few, or of too odd a spread, to say what {BatchTrial.Aim.Coverage * 100:0.####} % of the delivery have, with {BatchTrial.Aim.Confidence * 100:0.####} % confidence; without assumptions {needed} are needed"),
        _ => null,
    };

    /// <summary>What is measured otherwise than the sheet does, and so what the comparison is worth.</summary>
    public static string Conditions(TrialResult result)
    {
        var currents = result.Batch.Parts.Where(part => part.Measured.IsLit).Select(part => part.Measured.LedCurrent.Value).ToList();
        var led = currents.Count == 0 ? "" : $" Here: LED {new Amperes(ModifiedZScore.Median(currents))}.";
        return $"Sheets give transfer ratio and leakage at VCE 10 V or so; in this socket it is below 5 V, where both are a little less. Delays are those at {result.Board.Socket!.Delay.Resistance}, against what the sheet's become there.{led}";
    }

    /// <summary>"part 3 was skipped"; null where none was.</summary>
    public static string? Skipped(TrialResult result) => result.Skipped switch
    {
        [] => null,
        [var one] => string.Create(CultureInfo.InvariantCulture, $"part {one} was skipped"),
        var several => $"parts {string.Join(", ", several.Select(number => number.ToString(CultureInfo.InvariantCulture)))} were skipped",
    };

    /// <summary>"1 part", "50 parts".</summary>
    public static string Parts(long number) => $"{SoakWords.Number(number)} {(number == 1 ? "part" : "parts")}";

    public static string Verdict(TrialResult result)
    {
        var batch = result.Batch;
        int Count(TrialVerdict verdict) => batch.Parts.Count(part => part.Verdict == verdict);
        var words = batch.Parts.IsEmpty ? "no part was tried"
            : string.Create(CultureInfo.InvariantCulture, $"{Count(TrialVerdict.Conforms)} of {batch.Parts.Length} {(batch.Parts.Length == 1 ? "part conforms" : "parts conform")} to {result.Claimed.Name}");
        foreach (var (verdict, said) in new[] { (TrialVerdict.Violates, "violate it"), (TrialVerdict.NotResolved, "not resolved") })
        {
            if (Count(verdict) is > 0 and var count)
                words += string.Create(CultureInfo.InvariantCulture, $", {count} {(verdict == TrialVerdict.Violates && count == 1 ? "violates it" : said)}");
        }
        return $"{Words.Simulated(result.Adapter)}{words}.";
    }

    private static string Plain(TrialFigure figure, double value)
    {
        var (scale, unit) = ScaleOf(figure, new(value, 0));
        return $"{Number(value / scale, "0.##")} {unit}";
    }

    private static (double Scale, string Unit) ScaleOf(TrialFigure figure, Estimate value) => figure switch
    {
        TrialFigure.LedForward => (1, "V"),
        TrialFigure.TransferRatio => (0.01, "%"),
        TrialFigure.OnDelay or TrialFigure.OffDelay => (1e-6, "µs"),
        _ => Math.Max(Math.Abs(value.Value), value.Expanded) < 1e-6 ? (1e-9, "nA") : (1e-6, "µA"),
    };

    private static string Number(double value, string digits) => value.ToString(digits, CultureInfo.InvariantCulture);
}
