namespace TestRig.Bench.Storage;

/// <summary>Why a cycle's captures are kept.</summary>
public enum KeepReason
{
    First,

    /// <summary>One of those just before a failure.</summary>
    BeforeFailure,
    Failure,
    Sample,
    Last,
}
