namespace TestRig.Core.Diagnosing;

/// <summary>One thing that a sweep looks at: the same in every sweep of a board.</summary>
/// <param name="Channel">The channel that is exercised meanwhile; empty beside the exercises.</param>
/// <param name="Point">Test point, supply or line; empty where it is of the whole exercise or sweep.</param>
public readonly record struct Sight(string Channel, string Point, SightKind Kind)
{
    public static Sight Beside(string point, SightKind kind) => new("", point, kind);

    /// <summary>Outcomes count from 0 and stay below this.</summary>
    public const int MostOutcomes = 32;
}
