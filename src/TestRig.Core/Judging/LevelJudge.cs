using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>Is a voltage one that the receiver behind is sure to understand?</summary>
public static class LevelJudge
{
    /// <summary>
    /// Guard-banded like the timing (JCGM 106:2012): a reading conforms only when all its samples, each with the whole guard band, lie in the expected class.
    /// One of which some samples surely do not is unsteady, and as weak as one that is undefined throughout: the receiver may take it for either.
    /// </summary>
    public static Verdict Judge(LevelReading reading, Level expected, LevelLimits limits)
    {
        var guard = reading.Guard.Value;
        var wanted = expected == Level.Low ? LevelClass.Low : LevelClass.High;
        LevelClass? Surely(Volts voltage)
        {
            var (low, high) = (limits.Classify(new(voltage.Value - guard)), limits.Classify(new(voltage.Value + guard)));
            return low == high ? low : null;
        }
        var (minimum, mean, maximum) = (Surely(reading.Minimum), Surely(reading.Mean), Surely(reading.Maximum));
        if (minimum == wanted && maximum == wanted)
            return Verdict.Conforms;
        if (minimum == maximum && mean is { } throughout && mean == minimum)
            return throughout == LevelClass.Undefined ? Verdict.Weak : Verdict.WrongWay;
        return IsUnsteady(reading, expected, limits) || mean == LevelClass.Undefined ? Verdict.Weak
            : mean is { } other && other != wanted ? Verdict.WrongWay
            : Verdict.NotResolved;
    }

    /// <summary>True when some samples surely lie in the expected class and others surely do not.</summary>
    public static bool IsUnsteady(LevelReading reading, Level expected, LevelLimits limits)
    {
        var guard = reading.Guard.Value;
        return expected == Level.Low
            ? reading.Maximum.Value - guard > limits.LowMaximum.Value && reading.Minimum.Value + guard <= limits.LowMaximum.Value
            : reading.Minimum.Value + guard < limits.HighMinimum.Value && reading.Maximum.Value - guard >= limits.HighMinimum.Value;
    }
}
