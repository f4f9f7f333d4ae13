using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Measuring;

/// <summary>
/// How often is the truth within what is stated with 95 %? Here the truth is drawn first, and only then is it looked at through an adapter: quantised instants, and a clock that
/// is off by as much as its tolerance permits, the same for all repeats of a run.
/// </summary>
public class CoverageTests
{
    private const int Runs = 8_000;

    private const double Look = 1_187_500; // 19 ticks of 62.5 ns, in picoseconds

    public static TheoryData<double, double, double, double> Singles()
    {
        var data = new TheoryData<double, double, double, double>();
        foreach (var (cause, effect) in new[] { (1.75, 1.75), (3.0, 1.75), (1.75, 9.0), (1.75, 0.31), (0.06, 0.06), (0.0, 1.75) })
        {
            foreach (var (tolerance, delay) in new[] { (0.005, 5.0), (0.005, 300.0), (0.005, 60_000.0), (0.0001, 60_000.0), (0.0, 5.0) })
                data.Add(cause, effect, tolerance, delay);
        }
        return data;
    }

    /// <summary>Widths and delay in microseconds.</summary>
    [Theory]
    [MemberData(nameof(Singles))]
    public void A_single_delay_lies_within_what_is_stated_in_94_to_97_of_100_runs(double causeWidth, double effectWidth, double tolerance, double delay)
    {
        var random = new Random(1);
        var covered = 0;
        for (var run = 0; run < Runs; run++)
        {
            var clock = tolerance * Symmetric(random);
            var truth = delay * (0.9 + (0.2 * random.NextDouble()));
            var at = 1e5 + (100 * random.NextDouble());
            var measured = MeasuredDelay.Between(Seen(random, at, causeWidth), Seen(random, at + (truth * (1 + clock)), effectWidth), tolerance);
            covered += Covers(measured, truth * 1e6) ? 1 : 0;
        }
        Assert.InRange((double)covered / Runs, 0.94, 0.97);
    }

    public static TheoryData<int, double, double, double> Repeated()
    {
        var data = new TheoryData<int, double, double, double>();
        foreach (var number in new[] { 1, 2, 5, 20 })
        {
            foreach (var (cause, effect) in new[] { (1.0, 1.0), (2.7, 1.47), (1.47, 5.0), (1.2, 0.26), (5.0, 1.47) })
            {
                foreach (var tolerance in new[] { 0.0, 0.005 })
                    data.Add(number, cause, effect, tolerance);
            }
        }
        return data;
    }

    /// <summary>
    /// The command's instant is stepped over the looks and the answer is not: as with a device that serves its steps in the loop that looks. Widths in looks. Of the cause's interval one look
    /// differs from repeat to repeat; the rest of it, the answer's and the clock's error are the same in all repeats of a run.
    /// </summary>
    [Theory]
    [MemberData(nameof(Repeated))]
    public void The_mean_of_repeats_lies_within_what_is_stated_in_94_to_97_of_100_runs(int number, double causeWidth, double effectWidth, double tolerance)
    {
        var random = new Random(2);
        var covered = 0;
        const int runs = 3_000;
        for (var run = 0; run < runs; run++)
        {
            var repeats = new DelayRepeats(new((long)Look), causeIsStepped: true);
            var clock = tolerance * Symmetric(random);
            var causeRest = Math.Sqrt((causeWidth * causeWidth) - 1) / 2 * Symmetric(random);
            var answerRest = effectWidth / 2 * Symmetric(random);
            var sum = 0.0;
            for (var repeat = 0; repeat < number; repeat++)
            {
                var truth = 200 * Look * (1 + (1e-4 * random.NextDouble()));
                sum += truth;
                // Of a single run nothing tells the parts of an interval apart: the cause lies anywhere in it.
                var phase = number == 1 ? causeWidth / 2 * Symmetric(random) : causeRest + (Symmetric(random) / 2);
                var middle = 100 * Look;
                var answer = middle + (phase * Look) + (truth * (1 + clock)) + (answerRest * Look);
                repeats.Add(MeasuredDelay.Between(Interval(middle, causeWidth * Look), Interval(answer, effectWidth * Look), tolerance));
            }
            covered += Covers(repeats.Mean, sum / number) ? 1 : 0;
        }
        Assert.InRange((double)covered / runs, 0.94, 0.97);
    }

    /// <summary>
    /// A sampler whose looks keep to the command: the answer is really looked for, look by look. Delays that vary over several looks are averaged; one that hardly varies ends in the same look
    /// every time, and its uncertainty may not shrink.
    /// </summary>
    [Theory]
    [InlineData(20, 2.0, true)]
    [InlineData(20, 1.0, true)]
    [InlineData(5, 2.0, false)]
    [InlineData(5, 0.5, false)]
    [InlineData(20, 0.3, false)]
    [InlineData(20, 0.05, false)]
    [InlineData(20, 0.0, false)]
    [InlineData(2, 1.0, false)]
    public void Looks_that_keep_to_the_command_average_only_what_varies_by_itself(int number, double variation, bool averages)
    {
        var random = new Random(3);
        var covered = 0;
        const int runs = 4_000;
        var expanded = 0.0;
        for (var run = 0; run < runs; run++)
        {
            var repeats = new DelayRepeats(new((long)Look), causeIsStepped: false);
            var nominal = 20 + random.NextDouble();
            var causeError = Symmetric(random) / 20; // known to a tenth of a look, and off by the same each time
            var sum = 0.0;
            for (var repeat = 0; repeat < number; repeat++)
            {
                var truth = nominal + (variation * Normal(random));
                sum += truth;
                var look = Math.Ceiling(truth);
                repeats.Add(MeasuredDelay.Between(Interval((1000 + causeError) * Look, Look / 10), new(Picoseconds((1000 + look - 1) * Look), Picoseconds((1000 + look) * Look), Level.High), 0));
            }
            covered += Covers(repeats.Mean, sum / number * Look) ? 1 : 0;
            expanded += repeats.Mean.ExpandedUncertainty.Picoseconds / Look / runs;
        }
        Assert.InRange((double)covered / runs, 0.94, averages ? 0.97 : 1);
        if (averages)
            Assert.InRange(expanded, 0.05, 0.2);
        else if (number == 20)
            Assert.InRange(expanded, 0.45, 0.5);
    }

    [Fact]
    public void What_is_the_same_each_time_never_shrinks()
    {
        // 0.5 % of 100 ms, uniform, 95 % of it: 475 µs, after one run and after ten thousand.
        var cause = new Change(new(0), new(1_750_000), Level.High);
        var effect = new Change(new(100_000_000_000), new(100_001_750_000), Level.High);
        var repeats = new DelayRepeats(new((long)Look), causeIsStepped: true);
        for (var repeat = 0; repeat < 10_000; repeat++)
            repeats.Add(MeasuredDelay.Between(cause, effect, 0.005));
        Assert.InRange(repeats.Mean.ExpandedUncertainty.ToSeconds(), 474.9e-6, 476e-6);
        Assert.Equal(Duration.Zero, repeats.Spread);
        Assert.Equal(10_000, repeats.Count);
    }

    private static bool Covers(MeasuredDelay measured, double truth) => Math.Abs(measured.Value.Picoseconds - truth) <= measured.ExpandedUncertainty.Picoseconds;

    /// <summary>The interval, in microseconds, of some look that saw what happened at an instant.</summary>
    private static Change Seen(Random random, double at, double width)
    {
        var after = at - (width * random.NextDouble());
        return new(Picoseconds(after * 1e6), Picoseconds((after + width) * 1e6), Level.High);
    }

    private static Change Interval(double middle, double width) => new(Picoseconds(middle - (width / 2)), Picoseconds(middle + (width / 2)), Level.High);

    private static Instant Picoseconds(double value) => new((long)Math.Round(value));

    private static double Symmetric(Random random) => (2 * random.NextDouble()) - 1;

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
