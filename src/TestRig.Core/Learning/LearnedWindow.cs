using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Learning;

/// <summary>A delay window proposed for a stage, from delays that were measured.</summary>
/// <param name="Stage">Of the channel that the window is for.</param>
/// <param name="Output">The level that the stage's output goes to.</param>
/// <param name="Earliest">At least 0.</param>
/// <param name="Limits">Of the delays alone, in picoseconds.</param>
/// <param name="Uncertainty">So far from its measured value a delay may lie at all; the window is wider by it on both sides.</param>
public sealed record LearnedWindow(Stage Stage, Level Output, Duration Earliest, Duration Latest, ToleranceLimits Limits, ToleranceAim Aim, Duration Uncertainty)
{
    /// <summary>The window that the profile has now.</summary>
    public DelayRange Present => Stage.DelayTo(Output);

    /// <summary>True where it permits what the present window does not.</summary>
    public bool IsWiderSomewhere => Earliest < Present.Earliest || Latest > Present.Latest;

    /// <summary>The method with its figures, as a part of a sentence.</summary>
    public string Method => LimitWords.Of(Limits, Aim, Uncertainty);

    /// <summary>"OK1.5 falls: 2.1 µs to 7.3 µs (now 0 s to 25 µs)" and the method.</summary>
    public override string ToString() => string.Create(
        CultureInfo.InvariantCulture,
        $"{Stage.OutputName} {Output.ArrivalWord()}: {Earliest} to {Latest} (now {Present.Earliest} to {Present.Latest}{(IsWiderSomewhere ? "; WIDER than now" : "")}); {Method}");
}
