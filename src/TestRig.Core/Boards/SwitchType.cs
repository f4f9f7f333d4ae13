using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A mechanical contact.</summary>
/// <param name="BouncesMaximum">Extra transitions after the first, at most.</param>
/// <param name="SettlesWithin">From the first to the last transition of one closing or opening, at most.</param>
public sealed record SwitchType(string Name, string Description, string Source, int BouncesMaximum, Duration SettlesWithin)
    : PartType(Name, Description, Source);
