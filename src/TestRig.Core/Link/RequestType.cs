namespace TestRig.Core.Link;

/// <summary>The requests of the protocol. The reply's type is the request's plus <see cref="MessageTypes.ReplyOffset"/>.</summary>
public enum RequestType : byte
{
    Identify = 0x01,
    Pins = 0x02,
    Status = 0x03,
    Inputs = 0x04,
    Levels = 0x05,
    Leads = 0x06,
    Alive = 0x07,
    ClearLimits = 0x10,
    Line = 0x11,
    Stop = 0x12,
    Heartbeat = 0x13,
    Selects = 0x14,
    Arm = 0x20,
    Disarm = 0x21,
    Select = 0x22,
    Load = 0x30,
    Run = 0x31,
    Changes = 0x32,
    LevelRecords = 0x33,
    Gaps = 0x34,
    Fine = 0x35,
    FineRecord = 0x36,
}

/// <summary>What the device says without being asked.</summary>
public enum NoticeType : byte
{
    Boot = 0xF0,
    Done = 0xF1,
    Disarmed = 0xF2,
}

/// <summary>How the type byte tells requests, replies and notices apart.</summary>
public static class MessageTypes
{
    public const byte ReplyOffset = 0x80;

    public const byte FirstNotice = 0xF0;

    public static bool IsNotice(byte type) => type >= FirstNotice;

    public static byte ReplyTo(RequestType request) => (byte)((byte)request + ReplyOffset);
}
