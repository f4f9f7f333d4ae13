namespace TestRig.Core.Diagnosing;

/// <summary>How an item fails.</summary>
public enum FaultMode
{
    /// <summary>A transistor that never conducts, or a logic output that keeps its idle level.</summary>
    Dead,

    /// <summary>The output keeps the level that means "commanded".</summary>
    StuckActive,
    Slow,

    /// <summary>The output's voltage lies in the undefined region.</summary>
    Weak,
    Inverted,

    /// <summary>The output does not settle.</summary>
    Unsteady,

    /// <summary>Its input holds the net in front of it.</summary>
    HoldsInput,

    /// <summary>All its sections at once: supply, ground, enable, or the package itself.</summary>
    WholePackage,

    /// <summary>Two nets are joined.</summary>
    Bridged,

    /// <summary>A lead of the adapter is open, or clipped elsewhere.</summary>
    LeadOpen,

    /// <summary>A multiplexer of the measuring set-up shows other inputs than it was told to.</summary>
    WrongInput,

    /// <summary>Feedback of the motion is missing, too slow, or too much.</summary>
    Feedback,
}
