namespace TestRig.Bench.Adapters;

/// <summary>The adapter or the link to it failed. The message says what happened and what to do, for a technician.</summary>
public sealed class AdapterException(AdapterFault fault, string message, Exception? cause = null) : Exception(message, cause)
{
    public AdapterFault Fault { get; } = fault;
}

public enum AdapterFault
{
    /// <summary>No such port.</summary>
    Missing,

    /// <summary>Another program holds the port.</summary>
    Busy,

    /// <summary>This user may not open the port.</summary>
    NotPermitted,

    /// <summary>Something answers, or nothing does, but not an adapter of ours.</summary>
    NotAnAdapter,

    /// <summary>It speaks another version of the protocol.</summary>
    WrongVersion,

    /// <summary>It was there, and is not any more.</summary>
    Unplugged,

    /// <summary>It restarted in the middle of a session.</summary>
    Restarted,

    /// <summary>It did not answer in time, after repeats.</summary>
    Silent,

    /// <summary>It answered what the protocol does not allow, or what contradicts itself: nothing of it is used.</summary>
    BrokenAnswer,

    /// <summary>It refused a request: the message says which limit or value.</summary>
    Refused,

    /// <summary>A stop input is in its stopping state: nothing was driven.</summary>
    StopActive,

    /// <summary>This computer, which enforces the limits, was too late to keep one. Lines are idle.</summary>
    HostLate,
}
