using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Soaking;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Plotting;

/// <summary>Everything that the picture of one channel's night says, before anything is drawn: each figure against time with its limits and where it is going, and when the channel failed.</summary>
/// <param name="Summary">How the channel fared.</param>
/// <param name="Origin">Which run, when, and how many cycles.</param>
/// <param name="Hours">From the start of the run to the end of its last cycle: where every panel ends.</param>
/// <param name="Failing">Stretches, in hours from the start, in which the channel failed at least once.</param>
public sealed record DriftPicture(
    string Channel, string Board, bool Simulated, string Summary, string Origin, double Hours, ImmutableArray<DriftPanel> Panels, ImmutableArray<(double From, double To)> Failing)
{
    /// <summary>Of every channel of which some figure was measured twice.</summary>
    public static IEnumerable<DriftPicture> OfAll(SoakFindings findings)
    {
        // Of all figures at once: each is held to a share of one risk, and finding them takes time.
        var drifts = Drift.Of(findings.Tally);
        return findings.Tally.Channels.Select(channel => Of(findings, channel, drifts)).OfType<DriftPicture>();
    }

    /// <returns>Null of a channel of which no figure was measured twice: there is nothing to draw.</returns>
    private static DriftPicture? Of(SoakFindings findings, ChannelTally fared, IReadOnlyList<Drift> drifts)
    {
        var tally = findings.Tally;
        ImmutableArray<DriftPanel> panels =
        [
            .. tally.Series.Where(series => series.Key.Channel == fared.Channel && series.Count > 1)
                .Select(series => DriftPanel.Of(series, drifts.FirstOrDefault(drift => drift.Series == series), tally.Hours)),
        ];
        if (panels.IsEmpty)
            return null;
        return new(
            fared.Channel, findings.Board.Name, findings.Adapter.IsSimulated, SoakWords.Sentence(fared),
            string.Create(CultureInfo.InvariantCulture, $"run {findings.Run.Id}, begun {findings.Run.Started:yyyy-MM-dd HH:mm:ss zzz}  ·  {SoakWords.Cycles(tally.Cycles)}"),
            tally.Hours, panels, [.. fared.FailingStretches]);
    }
}

/// <summary>One figure through a run.</summary>
/// <param name="Name">"OK3.5, delay of its fall".</param>
/// <param name="Unit">Of all its values.</param>
/// <param name="Means">Of blocks of cycles, by hours.</param>
/// <param name="Ranges">Within what the values of each block lay.</param>
/// <param name="Words">What it did, in phrases.</param>
/// <param name="Trend">Where it is going; null where no drift was told from chance.</param>
public sealed record DriftPanel(
    string Name, string Unit, ImmutableArray<TimedValue> Means, ImmutableArray<ValueRange> Ranges, double? Lowest, double? Highest, ImmutableArray<string> Words, TrendBand? Trend)
{
    internal static DriftPanel Of(SeriesTally series, Drift? drift, double hours)
    {
        var scale = FigureScale.For(series.Key.Kind, series.Most);
        var range = series.Least == series.Most ? $"always {SoakWords.Value(series.Key.Kind, series.Most)}" : $"{SoakWords.Value(series.Key.Kind, series.Least)} to {SoakWords.Value(series.Key.Kind, series.Most)}";
        var permitted = SoakWords.Permitted(series);
        ImmutableArray<string> words =
        [
            range,
            .. permitted.Length > 0 ? [$"permitted: {permitted}"] : Array.Empty<string>(),
            drift is null ? "no drift seen" : $"DRIFTS {SoakWords.Rate(drift)}",
            .. drift?.Crossing is { } crossing && crossing.At > hours ? [$"at its limit in {SoakWords.Hours(crossing.At - hours)}"] : Array.Empty<string>(),
        ];
        return new(
            SoakWords.NameInChannel(series.Key), scale.Unit,
            [.. series.Blocks.Select(block => new TimedValue(block.Time, scale.Of(block.Value)))],
            [.. series.Ranges.Select(range => range with { Least = scale.Of(range.Least), Most = scale.Of(range.Most) })],
            series.Lowest is > 0 and var lowest ? scale.Of(lowest) : null, series.Highest is { } highest ? scale.Of(highest) : null, words,
            drift is null ? null : TrendBand.Of(drift.Trend, scale, hours));
    }
}

/// <summary>A straight line through a run with the band that it lies in with 95 % confidence, in the panel's unit.</summary>
/// <param name="Line">At the start, in the middle and at the end.</param>
/// <param name="Lower">Of the band, at the same times.</param>
/// <param name="Upper">Of the band, at the same times.</param>
public sealed record TrendBand(ImmutableArray<TimedValue> Line, ImmutableArray<double> Lower, ImmutableArray<double> Upper)
{
    /// <summary>Whatever the slope, the line goes through the middle: the band is as wide as the slope's interval, to both sides of it.</summary>
    internal static TrendBand Of(Trend trend, FigureScale scale, double hours)
    {
        var middle = trend.Line.Middle;
        double[] times = [0, middle.Time, hours];
        double At(double slope, double time) => scale.Of(middle.Value + (slope * (time - middle.Time)));
        var slopes = new[] { trend.SlopeAtLeast, trend.SlopeAtMost }.Where(double.IsFinite).DefaultIfEmpty(trend.Line.Slope).ToArray();
        return new(
            [.. times.Select(time => new TimedValue(time, At(trend.Line.Slope, time)))],
            [.. times.Select(time => slopes.Min(slope => At(slope, time)))],
            [.. times.Select(time => slopes.Max(slope => At(slope, time)))]);
    }
}
