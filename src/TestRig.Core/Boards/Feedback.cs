using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// What the motion itself gives back: judged only in motion mode. A channel whose line moves nothing may have feedback too, for example a contact of its
/// own; that is judged always.
/// </summary>
public abstract record Feedback(TestPoint Point);

/// <summary>Encoder or tacho pulses while the line is on.</summary>
/// <param name="Within">Counted from the command.</param>
public sealed record PulseFeedback(TestPoint Point, int PulsesMinimum, int PulsesMaximum, Duration Within) : Feedback(Point);

/// <summary>A switch that the motion may actuate: where it does, it must settle.</summary>
/// <param name="BouncesMaximum">Extra transitions after the first of one closing or opening, at most.</param>
/// <param name="SettlesWithin">From the first to the last transition of one closing or opening, at most.</param>
public sealed record SwitchFeedback(TestPoint Point, int BouncesMaximum, Duration SettlesWithin) : Feedback(Point)
{
    /// <summary>How long the machine's own controller waits for the contact to be quiet before it takes a change; null where the profile does not tell.</summary>
    public Duration? Debounce { get; init; }
}
