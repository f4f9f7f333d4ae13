using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>How a burst came to its end.</summary>
public enum BurstOutcome : byte
{
    Complete = 0,
    StopInput = 1,
    HostByte = 2,
}

/// <summary>DONE: the end of a run, and how many records of it there are to fetch.</summary>
/// <param name="Pin">The stop input that ended it; <see cref="NoPin"/> otherwise.</param>
/// <param name="End">Ticks from the burst's start.</param>
/// <param name="Snapshot">Levels after the end.</param>
public sealed record BurstEnd(
    uint Run, BurstOutcome Outcome, byte Pin, uint End, ushort Changes, byte Levels, byte Gaps, ImmutableArray<byte> Snapshot)
{
    public const byte NoPin = 0xFF;

    public static Parsed<BurstEnd> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var end = new BurstEnd(
            reader.U32(), (BurstOutcome)reader.U8(), reader.U8(), reader.U32(), reader.U16(), reader.U8(), reader.U8(), []);
        if (reader.TooShort)
            return new("the end of the run is told too shortly");
        if (end.Outcome > BurstOutcome.HostByte)
            return new($"the run ended with an unknown outcome {(byte)end.Outcome}");
        return new(end with { Snapshot = [.. reader.Take(reader.Remaining)] });
    }
}
