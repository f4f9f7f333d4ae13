namespace TestRig.Core.Link;

/// <summary>Why the device started last; several bits may be set.</summary>
[Flags]
public enum ResetCauses : byte
{
    None = 0,
    PowerOn = 1,
    External = 2,
    BrownOut = 4,
    Watchdog = 8,
}

/// <summary>OK reply to STATUS.</summary>
/// <param name="LastRun">Number of the last accepted run; 0 when there was none since the reset.</param>
/// <param name="LastEnd">How that run ended; null when there was none.</param>
public sealed record DeviceStatus(
    bool Armed,
    ResetCauses ResetCauses,
    uint FramesAccepted,
    uint FramesThrownAway,
    uint ReceiveOverruns,
    uint LastRun,
    BurstEnd? LastEnd)
{
    public static Parsed<DeviceStatus> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var state = reader.U8();
        var status = new DeviceStatus(state == 1, (ResetCauses)reader.U8(), reader.U32(), reader.U32(), reader.U32(), reader.U32(), null);
        if (reader.TooShort)
            return new("the status is too short");
        if (state > 1)
            return new($"the status names a state {state} that is neither armed nor disarmed");
        if (reader.Remaining == 0)
            return status.LastRun == 0 ? new(status) : new("the status names a run but not its end");
        var end = BurstEnd.Parse(reader.Take(reader.Remaining));
        return end.Succeeded ? new(status with { LastEnd = end.Value }) : new(end.Problem!);
    }
}
