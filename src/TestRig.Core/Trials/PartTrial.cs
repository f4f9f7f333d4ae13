using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Trials;

/// <summary>One part, measured and judged by what the type that it is said to be permits.</summary>
/// <param name="Number">Of the part in its batch, from 1.</param>
/// <param name="Figures">In the order of <see cref="TrialFigure"/>.</param>
/// <param name="Suspicions">Reasons to doubt that the part is of that type. Suspicions: nothing of it is proved here.</param>
public sealed record PartTrial(int Number, IsolatorType Claimed, SocketFigures Measured, ImmutableArray<JudgedFigure> Figures, ImmutableArray<string> Suspicions)
{
    /// <summary>Further from the typical forward voltage no LED of the same material is at the same current (common practice: some 50 mV from part to part).</summary>
    private const double SameMaterial = 0.2;

    /// <summary>More times the typical transfer ratio than a part of the type has (common practice).</summary>
    private const double MostOverTypical = 2;

    private const string NoCurrent = "not measured without LED current";

    public JudgedFigure this[TrialFigure figure] => Figures.First(judged => judged.Figure == figure);

    public TrialVerdict Verdict =>
        Figures.Any(figure => figure.Verdict == TrialVerdict.Violates) ? TrialVerdict.Violates
        : Figures.Any(figure => figure.Verdict == TrialVerdict.NotResolved) ? TrialVerdict.NotResolved
        : TrialVerdict.Conforms;

    /// <param name="others">Types that the part may be instead, with the same pins.</param>
    public static PartTrial Of(int number, Socket socket, IsolatorType claimed, IEnumerable<IsolatorType> others, SocketFigures measured, SocketDelays delays)
    {
        var figures = JudgeAs(socket, claimed, measured, delays);
        var trial = new PartTrial(number, claimed, measured, figures, []);
        return trial with { Suspicions = [.. trial.Doubts([.. others.Where(other => Fits(socket, other, measured, delays))])] };
    }

    private static bool Fits(Socket socket, IsolatorType type, SocketFigures measured, SocketDelays delays) =>
        JudgeAs(socket, type, measured, delays).All(figure => figure.Verdict is TrialVerdict.Conforms or TrialVerdict.NoLimit);

    private static ImmutableArray<JudgedFigure> JudgeAs(Socket socket, IsolatorType type, SocketFigures measured, SocketDelays delays)
    {
        var collector = measured.LedCurrent.Value * (measured.TransferRatio?.Value ?? 0);
        var limits = TrialLimit.Of(socket, type, new(Math.Max(0, collector))).ToDictionary(limit => limit.Figure);
        return [.. Enum.GetValues<TrialFigure>().Select(figure => JudgeOne(figure, limits.GetValueOrDefault(figure), type, measured, delays))];
    }

    private static JudgedFigure JudgeOne(TrialFigure figure, TrialLimit? limit, IsolatorType type, SocketFigures measured, SocketDelays delays)
    {
        var value = figure switch
        {
            TrialFigure.LedForward => measured.LedForward,
            TrialFigure.TransferRatio => measured.TransferRatio,
            TrialFigure.OnDelay => delays.On,
            TrialFigure.OffDelay => delays.Off,
            _ => measured.Leakage,
        };
        if (limit is null && figure is (TrialFigure.OnDelay or TrialFigure.OffDelay))
            return new(figure, value, null, TrialVerdict.NotResolved, measured.IsLit ? "its current does not take the emitter half-way at the delay load" : NoCurrent);
        if (limit is null)
            return new(figure, value, null, TrialVerdict.NoLimit, null);
        if (figure == TrialFigure.LedForward && !measured.IsLit)
            return new(figure, value, limit, TrialVerdict.Violates, "no LED current: the LED is open, the part is not seated, or it is the wrong way round");
        if (figure == TrialFigure.TransferRatio && value is not null && !TrialLimit.IsAtTestCurrent(type, new(measured.LedCurrent.Value)))
            return new(figure, value, limit, TrialVerdict.NotResolved, $"measured at {new Amperes(measured.LedCurrent.Value)}, and the sheet's limit is for {type.TestCurrent}");
        if (figure is TrialFigure.OnDelay or TrialFigure.OffDelay && value is null && delays.IsSilent && measured.IsLit)
            return new(figure, value, limit, TrialVerdict.Violates, "the emitter does not follow the command");
        return new(figure, value, limit, limit.Judge(value), value is not null ? null : measured.IsLit ? $"not measured: {delays.Words}" : NoCurrent);
    }

    private IEnumerable<string> Doubts(ImmutableArray<IsolatorType> fitting)
    {
        if (Verdict == TrialVerdict.Violates && !fitting.IsEmpty)
            yield return $"all figures fit {string.Join(" or ", fitting.Select(type => type.Name))}, and not {Claimed.Name}: another type, or a lower grade, under this name";
        if (this[TrialFigure.LedForward] is { Value: { } forward } && Math.Abs(forward.Value - Claimed.LedForwardTypical.Value) - forward.Expanded > SameMaterial)
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"forward voltage {forward.Value:0.00} V where {Claimed.LedForwardTypical.Value:0.00} V is typical: an LED of another material");
        }
        if (this[TrialFigure.TransferRatio] is { Value: { } ratio } && ratio.Value - ratio.Expanded > MostOverTypical * (Claimed.TransferRatioTypical ?? double.PositiveInfinity))
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"transfer ratio {ratio.Value * 100:0} %, more than {MostOverTypical:0} times the typical {Claimed.TransferRatioTypical * 100:0} %: a type of a higher grade, or another one");
        }
    }
}
