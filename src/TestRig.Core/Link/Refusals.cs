namespace TestRig.Core.Link;

/// <summary>BAD_VALUE: the field at this offset of the request's body is out of range.</summary>
public sealed record BadValue(byte Offset)
{
    public static Parsed<BadValue> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var value = new BadValue(reader.U8());
        return reader.TooShort ? new("BAD_VALUE does not say which field") : new(value);
    }
}

/// <summary>LIMITS_DIFFER: the digest of the limits that the device holds.</summary>
public sealed record LimitsDiffer(uint DeviceDigest)
{
    public static Parsed<LimitsDiffer> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var value = new LimitsDiffer(reader.U32());
        return reader.TooShort ? new("LIMITS_DIFFER carries no digest") : new(value);
    }
}

/// <summary>PROGRAM_REFUSED: the first step, counted from 0, that would break a limit, and why.</summary>
public sealed record ProgramRefused(byte Step, ProgramRefusal Why)
{
    public static Parsed<ProgramRefused> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var value = new ProgramRefused(reader.U8(), (ProgramRefusal)reader.U8());
        return reader.TooShort ? new("PROGRAM_REFUSED does not say which step and why") : new(value);
    }
}

/// <summary>STOP_ACTIVE: the stop input that is in its stopping state.</summary>
public sealed record StopActive(byte Pin)
{
    public static Parsed<StopActive> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var value = new StopActive(reader.U8());
        return reader.TooShort ? new("STOP_ACTIVE does not say which input") : new(value);
    }
}

/// <summary>RESTING: the line that was on too recently, and the ticks for which it must still rest.</summary>
public sealed record Resting(byte Line, uint Ticks)
{
    public static Parsed<Resting> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var value = new Resting(reader.U8(), reader.U32());
        return reader.TooShort ? new("RESTING does not say which line and how long") : new(value);
    }
}
