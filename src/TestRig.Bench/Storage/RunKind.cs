namespace TestRig.Bench.Storage;

/// <summary>What a stored run was.</summary>
public enum RunKind
{
    Sweep,
    Soak,

    /// <summary>Parts in a socket, one after the other: none of it is a cycle with channels, and nothing is captured.</summary>
    Trial,
}
