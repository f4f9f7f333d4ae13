namespace TestRig.Bench.Storage;

/// <summary>What a stored run was.</summary>
public enum RunKind
{
    Sweep,
    Soak,
}
