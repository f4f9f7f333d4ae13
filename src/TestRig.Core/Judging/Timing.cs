namespace TestRig.Core.Judging;

/// <summary>The timing side of a finding, guard-banded after JCGM 106:2012.</summary>
public enum Timing
{
    Conforms,
    Violates,

    /// <summary>The measurement's uncertainty reaches across a limit, or the adapter is too coarse.</summary>
    NotResolved,
}
