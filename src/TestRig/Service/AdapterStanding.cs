namespace TestRig.Service;

/// <summary>What is known of a bench's adapter without opening it, and from whoever has it open.</summary>
public enum AdapterStanding
{
    /// <summary>Nobody has looked yet.</summary>
    Unknown,

    /// <summary>It is there; whether it answers is known when a job opens it.</summary>
    Attached,

    /// <summary>A job has it open, and it answers.</summary>
    InUse,

    /// <summary>Its port is not there, or it does not answer.</summary>
    Gone,

    /// <summary>A simulated bench: nothing is there, and nothing has to be.</summary>
    Simulated,
}
