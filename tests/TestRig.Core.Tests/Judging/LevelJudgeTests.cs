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
}
