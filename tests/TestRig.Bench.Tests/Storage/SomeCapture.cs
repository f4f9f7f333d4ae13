using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Storage;

/// <summary>Captures of every form that the types permit, sensible or not, drawn from a seed.</summary>
internal sealed class SomeCapture(Board board, int seed)
{
    private readonly Random _random = new(seed);

    public ImmutableArray<ExerciseRecord> Records() => Some(4, () => new ExerciseRecord(
        new(Any(board.Channels), Any<ExerciseMode>(), new(Whole()), new(Whole()), Some(4, () => new PlannedReading(new(Whole()), Name()))) { Companions = Some(2, () => Any(board.Channels)) },
        Some(3, Capture), Some(5, () => (Name: Name(), State: Any<LeadState>())).DistinctBy(lead => lead.Name).ToImmutableDictionary(lead => lead.Name, lead => lead.State)));

    public ImmutableArray<Seen> Beside() => Some(6, () => new Seen(new(Name(), Name(), Any<SightKind>()), _random.Next(), unchecked((uint)_random.Next() * 2)));

    /// <summary>Every value of them, to compare two; numbers bit by bit.</summary>
    public static string Text(ImmutableArray<ExerciseRecord> records, ImmutableArray<Seen> beside) => SomeRun.Text(new
    {
        Records = records.Select(record => new
        {
            record.Exercise.Channel.Name,
            record.Exercise.Mode,
            record.Exercise.OnAt,
            record.Exercise.OffAt,
            record.Exercise.Readings,
            Companions = record.Exercise.Companions.Select(companion => companion.Name),
            Captures = record.Captures.Select(Plain),
            Leads = record.Leads.OrderBy(lead => lead.Key, StringComparer.Ordinal),
        }),
        beside,
    });

    private static object Plain(Capture capture) => new
    {
        capture.Tick,
        capture.Resolution,
        Tolerance = Bits(capture.ClockTolerance),
        capture.End,
        // Widths of changes that no adapter can see are wider than a duration is.
        Signals = capture.Signals.Select(signal => new { signal.Name, signal.Initial, Changes = signal.Changes.Select(change => (object[])[change.After.Picoseconds, change.NotAfter.Picoseconds, change.Level]) }),
        capture.Gaps,
        Levels = capture.Levels.Select(level => new
        {
            level.Signal,
            level.At,
            level.Samples,
            Volts = new[] { level.Mean, level.Minimum, level.Maximum, level.StandardUncertainty, level.SharedUncertainty }.Select(volts => Bits(volts.Value)),
            Unknowns = level.Unknowns is { } unknowns ? new[] { unknowns.Reference, unknowns.Step, unknowns.Converter, unknowns.Spread, unknowns.Resistor }.Select(Bits) : null,
        }),
        capture.Ending,
        capture.HostTiming,
    };

    private static long Bits(double value) => BitConverter.DoubleToInt64Bits(value);

    private Capture Capture()
    {
        // Half of them on a clock that counts, with all instants whole ticks of it.
        var tick = Any([0L, 1L, 8_000L, 62_500L]);
        var onTicks = tick > 1 && _random.Next(2) == 0;
        Instant At() => new(onTicks ? _random.Next(-1000, 1_000_000) * tick : Whole());
        return new(
            new(tick), new(Whole()), Real(), At(), Some(4, () => new Signal(Name(), Any<Level>(), Some(6, () => new Change(At(), At(), Any<Level>())))),
            Some(3, () => new Gap(At(), At(), Any<GapReason>())), Some(4, () => Reading(At())), new(Any<CaptureOutcome>(), _random.Next(2) == 0 ? null : Name()))
        {
            HostTiming = _random.Next(2) == 0 ? null : new(_random.Next(), new(Whole()), new(Whole()), _random.Next(), Some(4, () => new Duration(Whole()))),
        };
    }

    private LevelReading Reading(Instant at) => _random.Next(2) == 0
        ? new LevelReading(Name(), at, new(Real()), new(Real()), new(Real()), _random.Next(), new(Real())) { SharedUncertainty = new(Real()) }
        : LevelReading.With(Name(), at, new(Real()), new(Real()), new(Real()), _random.Next(), new(Real(), Real(), Real(), Real(), Real()));

    private ImmutableArray<T> Some<T>(int most, Func<T> draw) => [.. Enumerable.Range(0, _random.Next(most + 1)).Select(_ => draw())];

    private T Any<T>(IReadOnlyList<T> of) => of[_random.Next(of.Count)];

    private T Any<T>()
        where T : struct, Enum => Any(Enum.GetValues<T>());

    private string Name() => Any(["", "U3.18", "OK1.5", "\u00fcber", "a\0b", "\U0001f514", "U3.16"]);

    private long Whole() => Any([0L, -1L, 1L, long.MinValue, long.MaxValue, _random.Next(), _random.NextInt64(long.MinValue, long.MaxValue)]);

    private double Real() => Any([0.0, -0.0, 5.0, 0.1, double.NaN, double.Epsilon, double.MaxValue, double.NegativeInfinity, _random.NextDouble()]);
}
