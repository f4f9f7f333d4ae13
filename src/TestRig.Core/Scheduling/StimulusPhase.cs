using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>
/// Steps the instants of a program against the row of an adapter's looks, from repeat to repeat, so that what a command's own edge is uncertain by is another part of the interval each time. By multiples of
/// the golden section: however many repeats there are, they fill the period evenly (the three-distance theorem; common practice in low-discrepancy sampling).
/// </summary>
/// <remarks>
/// It steps the command and not the answer: a device that serves its steps in the loop that looks takes the looks behind the step along.
/// </remarks>
/// <param name="Period">Over which it is stepped: the time between two looks, or what the adapter resolves where that is not known.</param>
/// <param name="Tick">The step of the adapter's clock, above zero; phases are multiples of it.</param>
public sealed record StimulusPhase(Duration Period, Duration Tick)
{
    private const double GoldenSection = 0.618_033_988_749_895;

    /// <summary>At least 0 and below the period.</summary>
    /// <param name="repeat">From 0, which is the plan as it would be without repeats.</param>
    public Duration Of(int repeat) => Tick * (long)(Math.Floor(Period.Picoseconds * (repeat * GoldenSection % 1)) / Tick.Picoseconds);
}
