using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Bench.Tests.Soaking;

/// <summary>Ready-made cycles of an invented board with two channels.</summary>
internal static class Cycles
{
    public static readonly DateTimeOffset Started = new(2026, 3, 12, 18, 0, 0, TimeSpan.FromHours(1));

    public static readonly FigureKey Delay = new("one", "OK1.5", Expectation.Falls, FigureKind.Delay);

    public static readonly TimeSpan Each = TimeSpan.FromSeconds(36);

    /// <summary>A hundred to the hour.</summary>
    public static DateTimeOffset StartOf(long number) => Started + ((number - 1) * Each);

    /// <param name="one">Condition of the first channel; the second works.</param>
    /// <param name="delay">In picoseconds, of at most 25 µs.</param>
    public static CycleRecord Of(long number, Condition one = Condition.Working, long? delay = null, DateTimeOffset? at = null) => new(
        number, at ?? StartOf(number), Each, SweepOutcome.Complete, "",
        [new("one", one, one == Condition.Working ? null : $"{one} it is."), new("two", Condition.Working, null)], [],
        delay is { } value ? [new(Delay, value, 0, 25_000_000)] : []);

    public static ImmutableArray<CycleRecord> Many(int number, Func<long, Condition> one) => [.. Enumerable.Range(1, number).Select(cycle => Of(cycle, one(cycle)))];
}
