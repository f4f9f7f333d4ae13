namespace TestRig.Core.Trials;

/// <summary>A figure, or a part, against its limits.</summary>
public enum TrialVerdict
{
    Conforms,
    Violates,

    /// <summary>A limit lies within the uncertainty, or the figure could not be measured.</summary>
    NotResolved,

    /// <summary>The data sheet has no limit for it.</summary>
    NoLimit,
}
