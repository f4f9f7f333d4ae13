using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Learning;

/// <summary>Limits proposed for a switch of the feedback, from how it was seen to settle. Whichever is null stays as it is.</summary>
/// <param name="Feedback">As the profile has it now.</param>
/// <param name="Bounces">At most.</param>
public sealed record LearnedContact(SwitchFeedback Feedback, int? Bounces, Duration? SettlesWithin, ToleranceLimits Limits, ToleranceAim Aim, Duration Uncertainty)
{
    /// <summary>The method with its figures, as a part of a sentence.</summary>
    public string Method => LimitWords.Of(Limits, Aim, Uncertainty);

    /// <summary>"home-switch settles within 3.2 ms (now 5 ms)" and the method.</summary>
    public override string ToString() => Bounces is { } bounces
        ? string.Create(CultureInfo.InvariantCulture, $"{Feedback.Point.Name} bounces {bounces} times at most (now {Feedback.BouncesMaximum}); {Method}")
        : $"{Feedback.Point.Name} settles within {SettlesWithin} (now {Feedback.SettlesWithin}); {Method}";
}
