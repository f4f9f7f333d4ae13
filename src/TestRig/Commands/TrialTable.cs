using System.Globalization;
using TestRig.Bench.Trials;
using TestRig.Core.Trials;

namespace TestRig.Commands;

/// <summary>A trial on the screen: a line for each part, and what the batch is. The same when it is tried, and when it is told again from the store.</summary>
internal sealed class TrialTable(TextScreen screen)
{
    private bool _headed;

    /// <summary>Before the first part; asked again it says nothing.</summary>
    public void Head()
    {
        if (!_headed)
            screen.Say(Row("Part", "Forward V", "Ratio %", "On µs", "Off µs", "Leakage", "Verdict"));
        _headed = true;
    }

    public void Tell(PartTrial part)
    {
        screen.Say(Row(
            part.Number.ToString(CultureInfo.InvariantCulture), Value(part, TrialFigure.LedForward), Value(part, TrialFigure.TransferRatio), Value(part, TrialFigure.OnDelay), Value(part, TrialFigure.OffDelay),
            Value(part, TrialFigure.Leakage), TrialWords.Of(part.Verdict)));
        // Of a part that is refused, what is not known of it besides matters to nobody.
        foreach (var figure in part.Figures.Where(figure => figure.Verdict == part.Verdict && part.Verdict != TrialVerdict.Conforms))
            screen.Say($"      {(figure.Verdict == TrialVerdict.Violates ? "violates  " : "not told  ")}", TrialWords.Sentence(figure));
        foreach (var words in part.Suspicions)
            screen.Say("      suspicion ", words);
    }

    /// <summary>What all parts together are.</summary>
    public void Conclude(TrialResult result)
    {
        screen.Say();
        if (result.Ending.Length > 0)
            screen.Say("STOPPED  ", result.Ending);
        if (TrialWords.Skipped(result) is { } skipped)
            screen.Say("Skipped  ", skipped + ".");
        foreach (var outlier in result.Batch.Outliers)
            screen.Say("Outlier  ", TrialWords.Of(outlier));
        if (!result.Batch.Outliers.IsEmpty)
            screen.Say("         ", TrialWords.OutlierNote + ".");
        foreach (var words in result.Batch.Suspicions)
            screen.Say("Suspicion", " " + words);
        if (TrialWords.Tolerance(result.Batch) is { } tolerance)
            screen.Say("Delivery ", tolerance + ".");
        screen.Say("Note     ", TrialWords.Conditions(result));
        screen.Say("Verdict  ", TrialWords.Verdict(result));
    }

    private static string Value(PartTrial part, TrialFigure figure) => TrialWords.Cell(figure, part[figure].Value);

    /// <summary>Within 80 columns.</summary>
    private static string Row(string part, string forward, string ratio, string on, string off, string leakage, string verdict) =>
        $"{part,4}  {forward,-12}{ratio,-13}{on,-11}{off,-13}{leakage,-13}{verdict}";
}
