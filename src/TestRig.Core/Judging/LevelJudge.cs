using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Judging;

/// <summary>Is a voltage one that the receiver behind is sure to understand?</summary>
public static class LevelJudge
{
    /// <summary>Guard-banded like the timing: only a reading that lies in one class with its whole expanded uncertainty is said to be of that class.</summary>
    public static Verdict Judge(LevelReading reading, Level expected, LevelLimits limits)
    {
        var guard = reading.StandardUncertainty.Value * MeasuredDelay.CoverageFactor;
        var low = limits.Classify(new(reading.Mean.Value - guard));
        var high = limits.Classify(new(reading.Mean.Value + guard));
        if (low != high)
            return Verdict.NotResolved;
        return low switch
        {
            LevelClass.Undefined => Verdict.Weak,
            LevelClass.Low when expected == Level.Low => Verdict.Conforms,
            LevelClass.High when expected == Level.High => Verdict.Conforms,
            _ => Verdict.WrongWay,
        };
    }
}
