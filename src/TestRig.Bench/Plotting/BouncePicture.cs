using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Plotting;

/// <summary>How often a contact bounced how much, over all cycles of a run.</summary>
/// <param name="Origin">Which run, and how many cycles.</param>
/// <param name="Panels">Bounces, and the time until it is quiet; of each closing and opening that is told apart.</param>
public sealed record BouncePicture(string Channel, string TestPoint, string Board, bool Simulated, string Origin, ImmutableArray<BouncePanel> Panels)
{
    /// <summary>True where no cycle was beyond a limit.</summary>
    public bool AllGood => Panels.All(panel => panel.Beyond == 0);

    /// <param name="values">Each cycle's, by figure, with its limit; those of other kinds are passed over.</param>
    public static IEnumerable<BouncePicture> OfAll(SoakFindings findings, IReadOnlyDictionary<FigureKey, IReadOnlyList<long>> values) =>
        from series in findings.Tally.Series
        where series.Key.Kind is FigureKind.Bounces or FigureKind.SettleTime && values.ContainsKey(series.Key)
        group series by (series.Key.Channel, series.Key.TestPoint) into contact
        select new BouncePicture(
            contact.Key.Channel, contact.Key.TestPoint, findings.Board.Name, findings.Adapter.IsSimulated, $"run {findings.Run.Id}  ·  {SoakWords.Cycles(findings.Tally.Cycles)}",
            [.. contact.OrderBy(series => series.Key.Kind == FigureKind.SettleTime).ThenBy(series => series.Key.Expected).Select(series => BouncePanel.Of(series, values[series.Key]))]);
}

/// <summary>One histogram.</summary>
/// <param name="Name">"home-switch, bounces".</param>
/// <param name="Unit">Of the axis; empty of a number.</param>
/// <param name="Bins">From, to (not in it) and how many cycles, ascending and without gaps.</param>
/// <param name="Limit">The most that is permitted.</param>
/// <param name="Beyond">Cycles beyond the limit.</param>
public sealed record BouncePanel(string Name, string Unit, ImmutableArray<(double From, double To, long Count)> Bins, double? Limit, long Beyond, ImmutableArray<string> Words)
{
    /// <summary>More bars than so many nobody counts.</summary>
    private const int MostBins = 60;

    /// <param name="values">At least one.</param>
    internal static BouncePanel Of(SeriesTally series, IReadOnlyList<long> values)
    {
        var scale = FigureScale.For(series.Key.Kind, series.Most);
        var ascending = values.Order().ToList();
        var (least, most) = (ascending[0], ascending[^1]);
        // A number of bounces is whole: a bar each, as long as there is room. Times get as many bars as Rice's rule has, twice the cube root of their number (value from memory).
        var bins = series.Key.Kind == FigureKind.Bounces ? MostBins : Math.Min(MostBins, (int)Math.Ceiling(2 * Math.Cbrt(ascending.Count)));
        var width = Math.Max(1, (most - least + bins) / bins);
        var counts = new long[((most - least) / width) + 1];
        foreach (var value in ascending)
            counts[(value - least) / width]++;
        var beyond = series.Highest is { } limit ? ascending.LongCount(value => value > limit) : 0;
        string Value(long value) => SoakWords.Value(series.Key.Kind, value);
        long Quantile(double share) => ascending[(int)Math.Min(ascending.Count - 1, Math.Ceiling(share * ascending.Count) - 1)];
        return new(
            SoakWords.NameInChannel(series.Key), scale.Unit,
            [.. counts.Select((count, index) => (scale.Of(least + (index * width)), scale.Of(least + ((index + 1) * width)), count))],
            series.Highest is { } highest ? scale.Of(highest) : null, beyond,
            [
                $"half at most {Value(Quantile(0.5))}", $"95 % at most {Value(Quantile(0.95))}", $"most {Value(most)}",
                .. series.Highest is { } permitted ? [$"permitted: up to {Value(permitted)}", beyond == 0 ? "none beyond it" : string.Create(CultureInfo.InvariantCulture, $"BEYOND IT: {SoakWords.Cycles(beyond)}")] : Array.Empty<string>(),
            ]);
    }
}
