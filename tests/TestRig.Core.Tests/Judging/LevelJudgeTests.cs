using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Judging;

/// <summary>TTL limits: VIL 0.8 V, VIH 2.0 V (Tokyo Electron Device FAQ 4902 quoting TI SN74ALS1004, January 1995).</summary>
public class LevelJudgeTests
{
    [Theory]
    [InlineData(0.3, Level.Low, Verdict.Conforms)]
    [InlineData(3.4, Level.High, Verdict.Conforms)]
    [InlineData(1.4, Level.High, Verdict.Weak)]
    [InlineData(1.4, Level.Low, Verdict.Weak)]
    [InlineData(0.3, Level.High, Verdict.WrongWay)]
    [InlineData(2.05, Level.High, Verdict.NotResolved)]
    [InlineData(0.78, Level.Low, Verdict.NotResolved)]
    public void A_voltage_is_judged_against_the_receivers_limits(double volts, Level expected, Verdict verdict)
    {
        var reading = new LevelReading("U3.18", Instant.Start, new(volts), new(volts), new(volts), 8, new(0.04));
        Assert.Equal(verdict, LevelJudge.Judge(reading, expected, LevelLimits.Ttl));
    }

    // A mean may lie in a class in which no receiver would have found the net: half of the samples are at 0 V.
    [Theory]
    [InlineData(2.6, 0.1, 4.9, Level.High, Verdict.Weak)] // the mean alone would be high
    [InlineData(0.5, 0.1, 1.3, Level.Low, Verdict.Weak)] // some samples are undefined
    [InlineData(0.5, 0.1, 3.0, Level.Low, Verdict.Weak)]
    [InlineData(0.5, 0.1, 0.82, Level.Low, Verdict.NotResolved)] // a sample at the limit, within what is not known of it
    [InlineData(0.5, 0.45, 0.55, Level.Low, Verdict.Conforms)]
    [InlineData(3.4, 3.0, 3.6, Level.High, Verdict.Conforms)]
    [InlineData(1.4, 1.0, 1.8, Level.High, Verdict.Weak)]
    [InlineData(0.3, 0.2, 0.5, Level.High, Verdict.WrongWay)]
    [InlineData(1.9, 1.2, 2.3, Level.High, Verdict.Weak)]
    public void An_unsteady_voltage_never_conforms(double mean, double minimum, double maximum, Level expected, Verdict verdict)
    {
        var reading = new LevelReading("U3.18", Instant.Start, new(mean), new(minimum), new(maximum), 8, new(0.02));
        Assert.Equal(verdict, LevelJudge.Judge(reading, expected, LevelLimits.Ttl));
    }

    [Fact]
    public void No_reading_that_conforms_has_a_sample_outside_its_class()
    {
        var random = new Random(11);
        var conforming = 0;
        for (var i = 0; i < 20_000; i++)
        {
            var (one, other) = (5 * random.NextDouble(), 5 * random.NextDouble());
            var (low, high) = (Math.Min(one, other), Math.Max(one, other));
            var reading = new LevelReading("U3.18", Instant.Start, new(low + ((high - low) * random.NextDouble())), new(low), new(high), 8, new(0.05 * random.NextDouble()));
            foreach (var expected in new[] { Level.Low, Level.High })
            {
                if (LevelJudge.Judge(reading, expected, LevelLimits.Ttl) != Verdict.Conforms)
                    continue;
                conforming++;
                Assert.True(expected == Level.Low ? high <= 0.8 : low >= 2.0, reading.ToString());
            }
        }
        Assert.True(conforming > 1000);
    }
}
