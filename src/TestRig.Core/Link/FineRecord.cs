namespace TestRig.Core.Link;

/// <summary>What the hardware of a device stamped in a burst (protocol, section 11), in ticks of its timer.</summary>
/// <param name="Seen">False: the pin never changed to this level, and the stamp says nothing.</param>
/// <param name="Stamp">Ticks from the burst's start, at the last such change.</param>
/// <param name="Modulus">The stamp is known modulo this; 0: it is whole.</param>
/// <param name="Least">Ticks from the change at the pin to the stamp, at least.</param>
/// <param name="Most">The same, at most.</param>
public sealed record FineRecord(byte Pin, bool High, bool Seen, uint Stamp, uint Modulus, ushort Least, ushort Most)
{
    /// <summary>Bytes of a record of a pin with FINE.</summary>
    public const int Length = 15;

    /// <summary>Bytes of a record of a pin with CROSSING.</summary>
    public const int CrossingLength = Length + CrossingVoltages.Length;

    /// <summary>What was stamped is that the pin's voltage crossed a reference; null when it is the change of its logic level.</summary>
    public CrossingVoltages? Crossing { get; init; }

    /// <summary>Parses the reply to FINE_RECORD: exactly one record. A device that ran without FINE hands over none, which is malformed here.</summary>
    public static Parsed<FineRecord> Parse(ReadOnlySpan<byte> body)
    {
        if (body.Length is not (Length or CrossingLength))
            return new($"the fine record has {body.Length} bytes, not {Length} or {CrossingLength}");
        var reader = new BodyReader(body);
        var record = new FineRecord(reader.U8(), reader.U8() != 0, reader.U8() != 0, reader.U32(), reader.U32(), reader.U16(), reader.U16());
        if (body.Length == CrossingLength)
            record = record with { Crossing = CrossingVoltages.Read(ref reader) };
        if (record.Most < record.Least)
            return new($"the fine record's greatest latency, {record.Most}, is below its least, {record.Least}");
        if (record.Crossing is { InOrder: false })
            return new("the fine record's reference voltage does not lie below those at which an input changes");
        return record.Modulus != 0 && record.Stamp >= record.Modulus
            ? new($"the fine record's stamp, {record.Stamp}, is not below its modulus, {record.Modulus}")
            : new(record);
    }
}
