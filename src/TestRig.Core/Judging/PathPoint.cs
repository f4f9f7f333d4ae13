namespace TestRig.Core.Judging;

/// <summary>One point of a channel's path with its summary.</summary>
/// <param name="Stage">0-based index of the stage whose output it is; −1 for the drive point.</param>
public sealed record PathPoint(int Stage, string TestPoint, PointState State, LeadState Lead)
{
    public bool Responds => State is PointState.Good or PointState.Late or PointState.Early;
}
