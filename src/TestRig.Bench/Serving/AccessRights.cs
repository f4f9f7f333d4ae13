namespace TestRig.Bench.Serving;

/// <summary>What the holder of a token may do. Driving includes no reading by itself: a token for both has both.</summary>
[Flags]
public enum AccessRights
{
    None = 0,

    /// <summary>See benches, jobs and runs.</summary>
    Read = 1,

    /// <summary>Start and stop jobs: a line may move for it.</summary>
    Drive = 2,
}
