using System.Buffers.Binary;
using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>Limits of one line, as LINE declares them and as they enter the digest.</summary>
/// <param name="Pin">Below 32.</param>
/// <param name="IdleHigh">The level at which the line is off.</param>
/// <param name="LongestOn">Ticks.</param>
/// <param name="Rest">Ticks.</param>
/// <param name="KeptApart">Mask of lines that must not be on together with this one.</param>
public sealed record LineDeclaration(byte Pin, bool IdleHigh, uint LongestOn, uint Rest, uint KeptApart)
{
    internal const int Length = 14;

    internal void Write(Span<byte> body)
    {
        body[0] = Pin;
        body[1] = IdleHigh ? (byte)1 : (byte)0;
        BinaryPrimitives.WriteUInt32LittleEndian(body[2..], LongestOn);
        BinaryPrimitives.WriteUInt32LittleEndian(body[6..], Rest);
        BinaryPrimitives.WriteUInt32LittleEndian(body[10..], KeptApart);
    }
}

/// <summary>One stop input, as STOP declares it and as it enters the digest.</summary>
/// <param name="StopsHigh">True when a high level is the stopping state.</param>
/// <param name="Lines">Mask of lines that it forbids and ends.</param>
public sealed record StopDeclaration(byte Pin, bool StopsHigh, uint Lines)
{
    internal const int Length = 6;

    internal void Write(Span<byte> body)
    {
        body[0] = Pin;
        body[1] = StopsHigh ? (byte)1 : (byte)0;
        BinaryPrimitives.WriteUInt32LittleEndian(body[2..], Lines);
    }
}

/// <summary>All limits that a device holds.</summary>
/// <param name="HeartbeatMilliseconds">0 when none was declared.</param>
/// <param name="Selects">Mask of the pins that select a multiplexer's input.</param>
public sealed record LimitsTable(
    ImmutableArray<LineDeclaration> Lines, ImmutableArray<StopDeclaration> Stops, uint HeartbeatMilliseconds, uint Selects = 0)
{
    /// <summary>
    /// CRC-32 over the lines by ascending pin as bodies of LINE, the stops by ascending pin as bodies of STOP, the body of HEARTBEAT and, when there
    /// are select pins, the body of SELECTS. A device arms only when its own digest is the same, so that noise cannot loosen a limit unseen.
    /// </summary>
    public uint Digest()
    {
        var table = new byte[(Lines.Length * LineDeclaration.Length) + (Stops.Length * StopDeclaration.Length) + 4 + (Selects == 0 ? 0 : 4)];
        var at = 0;
        foreach (var line in Lines.OrderBy(line => line.Pin))
        {
            line.Write(table.AsSpan(at));
            at += LineDeclaration.Length;
        }
        foreach (var stop in Stops.OrderBy(stop => stop.Pin))
        {
            stop.Write(table.AsSpan(at));
            at += StopDeclaration.Length;
        }
        BinaryPrimitives.WriteUInt32LittleEndian(table.AsSpan(at), HeartbeatMilliseconds);
        if (Selects != 0)
            BinaryPrimitives.WriteUInt32LittleEndian(table.AsSpan(at + 4), Selects);
        return LinkChecksum.Of(table);
    }
}
