namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What the firmware stands still for: device.h tells of each.</summary>
internal enum FirmwareRequest
{
    Waits,
    SendsAll,
    Snapshot,
    DrivesIdle,
    Selects,
    Releases,
    Level,
    Lead,
    Burst,
}
