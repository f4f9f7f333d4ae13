namespace TestRig.Core.Quantities;

/// <summary>What a voltage means under a set of level limits.</summary>
public enum LevelClass
{
    Low,

    /// <summary>Between the limits: a receiver may take it for either.</summary>
    Undefined,
    High,
}
