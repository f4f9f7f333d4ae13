namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>A device that is not as ours is, to see that it is found out.</summary>
internal enum DeviceFault
{
    None,

    /// <summary>It stays armed however silent the host is.</summary>
    ForgetsHeartbeat,

    /// <summary>A line is on behind its program's end.</summary>
    LeavesLineOn,

    /// <summary>It executes a run number that it has executed.</summary>
    RunsTwice,
}
