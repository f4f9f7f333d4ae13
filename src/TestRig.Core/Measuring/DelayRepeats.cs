using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Measuring;

/// <summary>
/// One delay measured again and again. Mean and spread of those that came, and how well the mean is known. Takes the same room however many there are.
/// </summary>
/// <remarks>
/// <para>
/// Only what differs from repeat to repeat averages. Of an interval's width that is at most one period of the looks, and only where it is known that the repeats spread the instant over it;
/// what the width has beyond (latency, skew of the pins, time for a record) may be the same each time, and so may the clock's error: those parts never shrink.
/// </para>
/// <para>
/// The command's own edge is spread when the schedule steps its instant against the looks. The answer is not, where the device serves its steps in the loop that looks: then a line and
/// the looks behind it move together, and the same delay ends in the same look each time. It is spread by the delay's own variation, when that is wide enough to be told from a delay on the edge between two looks.
/// </para>
/// </remarks>
/// <param name="look">Time between two looks of the adapter while nothing happens; zero where it is not known, and then no width averages.</param>
/// <param name="causeIsStepped">The cause is a command's own edge, and its instant was stepped over one period of the looks.</param>
public sealed class DelayRepeats(Duration look, bool causeIsStepped)
{
    /// <summary>
    /// Delays that toggle between two neighbouring looks spread by 0.55 periods at most when there are five or more; from here on they take three looks or more.
    /// </summary>
    private const double WideInLooks = 0.6;

    private const int EnoughToTell = 5;

    private readonly RunningMean _values = new();
    private readonly RunningMean _causeSquares = new();
    private readonly RunningMean _effectSquares = new();
    private double _clockTolerance;

    /// <summary>Number of repeats.</summary>
    public int Count => _values.Count;

    /// <summary>Experimental standard deviation of the delays as measured; null of fewer than two.</summary>
    public Duration? Spread => _values.StandardDeviation is { } deviation ? new((long)Math.Round(deviation)) : null;

    /// <summary>
    /// The mean of the delays that came, with what is not known of it. How much the delay itself varies is no part of that: it is <see cref="Spread"/>.
    /// </summary>
    /// <exception cref="InvalidOperationException">There is none yet.</exception>
    public MeasuredDelay Mean
    {
        get
        {
            if (Count == 0)
                throw new InvalidOperationException("There is no mean of no delay.");
            var (causeOnce, causeEach) = Split(_causeSquares.Mean, causeIsStepped);
            var (effectOnce, effectEach) = Split(_effectSquares.Mean, VariesOverLooks);
            var (causeWidth, effectWidth) = (Math.Sqrt(_causeSquares.Mean), Math.Sqrt(_effectSquares.Mean));
            var mean = MeasuredDelay.Of(
                new((long)Math.Round(_values.Mean)), _clockTolerance,
                new UniformPart(causeOnce / 2), new(causeEach / 2 / Count, Count), new(effectOnce / 2), new(effectEach / 2 / Count, Count));
            // However the parts are split, the mean lies no farther off than the intervals reach.
            var reach = MeasuredDelay.Of(mean.Value, _clockTolerance, new UniformPart(causeWidth / 2), new(effectWidth / 2)).Guard;
            return mean with
            {
                Guard = Duration.Min(mean.Guard, reach),
                CauseWidth = new((long)Math.Ceiling(causeWidth)),
                EffectWidth = new((long)Math.Ceiling(effectWidth)),
            };
        }
    }

    private bool VariesOverLooks => Count >= EnoughToTell && _values.StandardDeviation >= WideInLooks * look.Picoseconds;

    public void Add(MeasuredDelay delay)
    {
        _values.Add(delay.Value.Picoseconds);
        _causeSquares.Add(Square(delay.CauseWidth));
        _effectSquares.Add(Square(delay.EffectWidth));
        _clockTolerance = Math.Max(_clockTolerance, delay.ClockTolerance);
    }

    /// <summary>A width as two, one the same each time and one different each time, whose squares add up to its own.</summary>
    private (double Once, double Each) Split(double square, bool spread)
    {
        // An interval narrower than a look was not made by looks alone: what stamped it may be off by the same each time.
        var each = spread && Count > 1 && Square(look) <= square ? (double)look.Picoseconds : 0;
        return (Math.Sqrt(square - (each * each)), each);
    }

    private static double Square(Duration width) => (double)width.Picoseconds * width.Picoseconds;
}
