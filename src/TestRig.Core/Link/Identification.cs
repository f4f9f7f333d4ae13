namespace TestRig.Core.Link;

/// <summary>
/// OK reply to IDENTIFY: what the device is and what it can do. Fields as in the protocol, section 6; ticks are those of the device's own
/// timer.
/// </summary>
/// <param name="Session">Differs after every reset.</param>
/// <param name="TickPicoseconds">Length of a tick; not 0.</param>
/// <param name="ClockTolerancePpm">±, parts per million.</param>
/// <param name="LookTicks">Time between two looks at the inputs while nothing happens.</param>
/// <param name="SkewTicks">The pins of one look are read within this time, ending at the stamp.</param>
/// <param name="RecordTicks">Extra time to the next look after a record was stored.</param>
/// <param name="HousekeepingTicks">
/// Extra time between looks when housekeeping or a step falls between them, and the time for which either can wait behind the poll that missed it.
/// </param>
/// <param name="HousekeepingPeriod">Housekeeping falls at multiples of this, from the burst's start; 0 means never.</param>
/// <param name="StopBound">Ticks from a stop input's change to all lines idle, worst case in a burst.</param>
/// <param name="HostBound">Ticks from a received byte to all lines idle, worst case in a burst.</param>
/// <param name="ConverterBits">Resolution of level readings, 1..24.</param>
/// <param name="ReferenceMillivolts">The converter's reference, nominal.</param>
/// <param name="ReferenceTolerancePpm">±, parts per million.</param>
/// <param name="SampleTicks">One conversion with its overhead, worst case.</param>
/// <param name="SnapshotBytes">Enough for one bit a pin.</param>
public sealed record Identification(
    ProtocolVersion Version,
    uint Session,
    uint TickPicoseconds,
    uint ClockTolerancePpm,
    ushort LookTicks,
    ushort SkewTicks,
    ushort RecordTicks,
    ushort HousekeepingTicks,
    uint HousekeepingPeriod,
    uint StopBound,
    uint HostBound,
    byte ConverterBits,
    uint ReferenceMillivolts,
    uint ReferenceTolerancePpm,
    uint SampleTicks,
    ushort DischargeTicks,
    ushort ReleaseTicks,
    ushort PullUpTicks,
    byte PinCount,
    byte SnapshotBytes,
    byte MaximumSteps,
    ushort MaximumChanges,
    byte MaximumLevels,
    byte MaximumGaps,
    uint MaximumBurstMilliseconds,
    string Board)
{
    /// <summary>
    /// Parses the whole reply of a device that speaks our major version (see <see cref="ProtocolVersion"/> for the part that never moves). Bytes behind the
    /// known fields are left alone: a later minor version may add some.
    /// </summary>
    /// <param name="body">Behind the result.</param>
    public static Parsed<Identification> Parse(ReadOnlySpan<byte> body)
    {
        var version = ProtocolVersion.Parse(body);
        if (!version.Succeeded)
            return new(version.Problem!);
        var reader = new BodyReader(body[ProtocolVersion.Length..]);
        var identification = new Identification(
            version.Value,
            Session: reader.U32(),
            TickPicoseconds: reader.U32(),
            ClockTolerancePpm: reader.U32(),
            LookTicks: reader.U16(),
            SkewTicks: reader.U16(),
            RecordTicks: reader.U16(),
            HousekeepingTicks: reader.U16(),
            HousekeepingPeriod: reader.U32(),
            StopBound: reader.U32(),
            HostBound: reader.U32(),
            ConverterBits: reader.U8(),
            ReferenceMillivolts: reader.U32(),
            ReferenceTolerancePpm: reader.U32(),
            SampleTicks: reader.U32(),
            DischargeTicks: reader.U16(),
            ReleaseTicks: reader.U16(),
            PullUpTicks: reader.U16(),
            PinCount: reader.U8(),
            SnapshotBytes: reader.U8(),
            MaximumSteps: reader.U8(),
            MaximumChanges: reader.U16(),
            MaximumLevels: reader.U8(),
            MaximumGaps: reader.U8(),
            MaximumBurstMilliseconds: reader.U32(),
            Board: reader.Text());
        if (reader.TooShort)
            return new("the identification is too short");
        if (identification.TickPicoseconds == 0)
            return new("the identification names a tick of no length");
        if (identification.ConverterBits is 0 or > 24)
            return new($"the identification names a converter of {identification.ConverterBits} bits");
        if (identification.SnapshotBytes * 8 < identification.PinCount)
            return new($"a snapshot of {identification.SnapshotBytes} bytes cannot hold {identification.PinCount} pins");
        return new(identification);
    }
}
