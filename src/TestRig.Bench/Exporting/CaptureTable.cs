using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exporting;

/// <summary>What was known of all signals at one instant.</summary>
/// <param name="Levels">In the order of the capture's signals; null where the level was not known.</param>
/// <param name="Volts">In the order of <see cref="CaptureTable.Voltages"/>; NaN where no reading began then.</param>
internal readonly record struct CaptureRow(Instant At, ImmutableArray<Level?> Levels, ImmutableArray<double> Volts);

/// <summary>A capture as rows in time, one for each instant at which anything that is known changes.</summary>
/// <remarks>
/// Each change has two rows: the look before it, with the level as it was, and the look that saw it. So the change lies between two rows, and nothing more is known of it. Where looks of another signal
/// fall between the two, the level is not known there.
/// </remarks>
internal sealed class CaptureTable(Capture capture)
{
    /// <summary>The test points whose voltages were read.</summary>
    public ImmutableArray<string> Voltages { get; } = [.. capture.Levels.Select(level => level.Signal).Distinct(StringComparer.Ordinal)];

    public IEnumerable<CaptureRow> Rows()
    {
        var histories = capture.Signals.Select(signal => new KnownLevel(signal, capture.UnseenOf(signal))).ToList();
        var readings = capture.Levels.ToLookup(level => level.At);
        var instants = histories.SelectMany(history => history.Instants)
            .Concat(capture.Levels.Select(level => level.At))
            .Append(Instant.Start)
            .Append(capture.End)
            .Where(instant => instant >= Instant.Start && instant <= capture.End)
            .Distinct()
            .Order();
        foreach (var at in instants)
        {
            var read = readings[at].ToLookup(level => level.Signal, level => level.Mean.Value);
            yield return new(at, [.. histories.Select(history => history.At(at))], [.. Voltages.Select(point => read[point].LastOrDefault(double.NaN))]);
        }
    }

    /// <summary>One signal, asked at ascending instants.</summary>
    private sealed class KnownLevel(Signal signal, ImmutableArray<(Instant From, Instant To)> unseen)
    {
        private int _next;
        private Level _level = signal.Initial;

        public IEnumerable<Instant> Instants => signal.Changes.SelectMany(change => new[] { change.After, change.NotAfter }).Concat(unseen.SelectMany(stretch => new[] { stretch.From, stretch.To }));

        public Level? At(Instant at)
        {
            for (; _next < signal.Changes.Length && signal.Changes[_next].NotAfter <= at; _next++)
                _level = signal.Changes[_next].Level;
            var isChanging = _next < signal.Changes.Length && signal.Changes[_next].After < at;
            return isChanging || unseen.Any(stretch => stretch.From <= at && at < stretch.To) ? null : _level;
        }
    }
}
