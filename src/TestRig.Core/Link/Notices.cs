namespace TestRig.Core.Link;

/// <summary>BOOT: the device has just started.</summary>
public sealed record BootNotice(ResetCauses ResetCauses, uint Session)
{
    public static Parsed<BootNotice> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var notice = new BootNotice((ResetCauses)reader.U8(), reader.U32());
        return reader.TooShort ? new("the notice of a start is too short") : new(notice);
    }
}

/// <summary>Why a device disarmed by itself.</summary>
public enum DisarmCause : byte
{
    Heartbeat = 1,
}

/// <summary>DISARMED: the device disarmed by itself.</summary>
public sealed record DisarmedNotice(DisarmCause Cause)
{
    public static Parsed<DisarmedNotice> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var notice = new DisarmedNotice((DisarmCause)reader.U8());
        return reader.TooShort ? new("the notice of disarming does not say why") : new(notice);
    }
}
