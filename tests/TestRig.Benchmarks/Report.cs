using System.Diagnostics;
using System.Globalization;

namespace TestRig.Benchmarks;

/// <summary>Runs comparisons and prints one line for each.</summary>
internal static class Report
{
    private const int Rounds = 9;

    /// <summary>Long enough for the runtime to have compiled the hot paths for good.</summary>
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(1);

    /// <summary>Below this a single call is timed too coarsely, so it is repeated within a round.</summary>
    private static readonly TimeSpan ShortestRound = TimeSpan.FromMilliseconds(20);

    private static IEnumerable<Comparison> All =>
        [.. FrameDecodingComparisons.All, .. EdgeExtractionComparisons.All, .. PlotComparisons.All, .. StartUpComparisons.All, .. SharedStore.All];

    /// <param name="filters">Parts of names; without any, everything is run.</param>
    public static int Run(string[] filters)
    {
        // Each prints one line; how it is measured is its own affair.
        List<(string Name, Func<string> Run)> benchmarks = [.. All.Select(comparison => (comparison.Name, (Func<string>)(() => Measure(comparison)))), (StimulusPhase.Name, StimulusPhase.Measure), (StimulusPhase.TogetherName, StimulusPhase.MeasureTogether),
            (SoakNight.NightName, SoakNight.MeasureNight), (SoakNight.MemoryName, SoakNight.MeasureMemory),
            (LongRecording.DumpName, LongRecording.MeasureDump), (LongRecording.ColumnsName, LongRecording.MeasureColumns),
            (SharedStore.FiftyName, SharedStore.MeasureFifty)];
        var chosen = benchmarks.Where(benchmark =>
            filters.Length == 0 || filters.Any(filter => benchmark.Name.Contains(filter, StringComparison.OrdinalIgnoreCase))).ToList();
        if (chosen.Count == 0)
        {
            Console.Error.WriteLine("No benchmark has that in its name. There are:");
            foreach (var (name, _) in benchmarks)
                Console.Error.WriteLine($"  {name}");
            return 2;
        }
        foreach (var (_, run) in chosen)
            Console.WriteLine(run());
        return 0;
    }

    private static string Measure(Comparison comparison)
    {
        var (ours, yardstick) = comparison.Prepare();
        var oursRepeats = Warm(ours);
        var yardstickRepeats = Warm(yardstick);
        var oursTimes = new List<double>();
        var yardstickTimes = new List<double>();
        var ratios = new List<double>();
        for (var round = 0; round < Rounds; round++)
        {
            // Who goes first changes from round to round, so that a drift of the machine favours neither.
            var oursFirst = round % 2 == 0;
            var first = oursFirst ? Time(ours, oursRepeats) : Time(yardstick, yardstickRepeats);
            var second = oursFirst ? Time(yardstick, yardstickRepeats) : Time(ours, oursRepeats);
            oursTimes.Add(oursFirst ? first : second);
            yardstickTimes.Add(oursFirst ? second : first);
            ratios.Add(RatioOf(comparison.Ratio, oursTimes[^1], yardstickTimes[^1]));
        }
        var oursMedian = Median(oursTimes);
        var yardstickMedian = Median(yardstickTimes);
        var ratio = RatioOf(comparison.Ratio, oursMedian, yardstickMedian);
        var sign = comparison.Ratio == RatioKind.ShareOfYardstick ? ">=" : "<=";
        var goal = comparison.Goal is not { } wanted
            ? "no goal"
            : FormattableString.Invariant($"goal {sign} {wanted} {(Meets(comparison.Ratio, ratio, wanted) ? "met" : "MISSED")}");
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{comparison.Name}: {ratio:0.00} ({goal}; spread {ratios.Min():0.00}..{ratios.Max():0.00} over {Rounds} rounds; {oursMedian:0.###} ms against {yardstickMedian:0.###} ms)");
    }

    private static double RatioOf(RatioKind kind, double ours, double yardstick) =>
        kind == RatioKind.ShareOfYardstick ? yardstick / ours : ours / yardstick;

    private static bool Meets(RatioKind kind, double ratio, double goal) =>
        kind == RatioKind.ShareOfYardstick ? ratio >= goal : ratio <= goal;

    /// <returns>How many calls make a round.</returns>
    private static int Warm(Action action)
    {
        var clock = Stopwatch.StartNew();
        var calls = 0;
        do
        {
            action();
            calls++;
        }
        while (clock.Elapsed < WarmUp);
        return Math.Max(1, (int)Math.Ceiling(ShortestRound / (clock.Elapsed / calls)));
    }

    /// <returns>Milliseconds a call.</returns>
    private static double Time(Action action, int repeats)
    {
        var start = Stopwatch.GetTimestamp();
        for (var i = 0; i < repeats; i++)
            action();
        return Stopwatch.GetElapsedTime(start).TotalMilliseconds / repeats;
    }

    private static double Median(List<double> values)
    {
        var sorted = values.Order().ToList();
        return sorted[sorted.Count / 2];
    }
}
