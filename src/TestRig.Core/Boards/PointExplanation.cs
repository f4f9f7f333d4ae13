using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What is expected at one point of a channel.</summary>
/// <param name="Section">The section whose output it is, as in the profile; null for the drive point.</param>
/// <param name="LeadEnd">Where its lead ends, as the profile writes it; null when no lead goes there.</param>
/// <param name="Idle">The level while the line is idle.</param>
/// <param name="Active">The level while the line is active.</param>
/// <param name="Inverted">True when it is high while the line is low.</param>
/// <param name="ToActive">The transition when the line becomes active; null for the drive point.</param>
/// <param name="ToIdle">The transition when the line becomes idle again; null for the drive point.</param>
/// <param name="Levels">The voltages that count as low and as high here; null for the drive point.</param>
/// <param name="Circuit">The circuit computation, one sentence a row, with its arithmetic.</param>
public sealed record PointExplanation(
    string Point,
    string? Section,
    string? LeadEnd,
    Level Idle,
    Level Active,
    bool Inverted,
    TransitionExplanation? ToActive,
    TransitionExplanation? ToIdle,
    LevelLimits? Levels,
    ImmutableArray<string> Circuit);
