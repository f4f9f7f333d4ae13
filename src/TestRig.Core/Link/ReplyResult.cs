namespace TestRig.Core.Link;

/// <summary>The first byte of every reply.</summary>
public enum ReplyResult : byte
{
    Ok = 0,
    UnknownRequest = 1,
    BadLength = 2,
    BadValue = 3,
    NotArmed = 4,
    WrongNonce = 5,
    Armed = 6,
    LimitsDiffer = 7,
    ProgramRefused = 8,
    StopActive = 9,
    Resting = 10,
    AlreadyRun = 11,
    NoRoom = 12,
    NoSuchRun = 13,
}

/// <summary>Why a program was refused.</summary>
public enum ProgramRefusal : byte
{
    OrderOrSpacing = 1,
    ActionOrField = 2,
    EndMissingOrNotLast = 3,
    LongestOnTime = 4,
    KeptApart = 5,
    Rest = 6,
    UndeclaredLine = 7,
    TooLong = 8,
    DigestDiffers = 9,
    NotEnoughLevelRecords = 10,
    MeasureWhileCrossing = 11,
}
