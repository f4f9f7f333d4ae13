using System.Buffers.Binary;
using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>A request, ready to be framed. Every request may be repeated: RUN is made safe by its run number.</summary>
public sealed record LinkRequest(RequestType Type, ImmutableArray<byte> Body)
{
    /// <summary>Steps that fit into one LOAD.</summary>
    public const int StepsPerLoad = (FrameFormat.LongestBody - LoadHeader) / ProgramStep.Length;

    /// <summary>Pins that fit into one LEADS: its reply holds three bytes for each.</summary>
    public const int PinsPerLeads = (FrameFormat.LongestBody - 1) / 3;

    /// <summary>Conversions a pin that LEVELS and MEASURE allow.</summary>
    public const int MostSamples = 64;

    private const int LoadHeader = 6;

    public static LinkRequest Identify { get; } = new(RequestType.Identify, []);

    public static LinkRequest Status { get; } = new(RequestType.Status, []);

    public static LinkRequest Inputs { get; } = new(RequestType.Inputs, []);

    public static LinkRequest Alive { get; } = new(RequestType.Alive, []);

    public static LinkRequest ClearLimits { get; } = new(RequestType.ClearLimits, []);

    public static LinkRequest Disarm { get; } = new(RequestType.Disarm, []);

    public static LinkRequest Pins(byte first) => new(RequestType.Pins, [first]);

    /// <param name="analogPins">Mask by analog index.</param>
    /// <param name="samples">1..64.</param>
    public static LinkRequest Levels(uint analogPins, int samples)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(samples, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(samples, MostSamples);
        return Build(RequestType.Levels, 5, body =>
        {
            BinaryPrimitives.WriteUInt32LittleEndian(body, analogPins);
            body[4] = (byte)samples;
        });
    }

    /// <param name="pins">At most <see cref="PinsPerLeads"/>.</param>
    public static LinkRequest Leads(uint nonce, ImmutableArray<byte> pins)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(pins.Length, PinsPerLeads);
        return Build(RequestType.Leads, 5 + pins.Length, body =>
        {
            BinaryPrimitives.WriteUInt32LittleEndian(body, nonce);
            body[4] = (byte)pins.Length;
            pins.CopyTo(body[5..]);
        });
    }

    public static LinkRequest Line(LineDeclaration line) => Build(RequestType.Line, LineDeclaration.Length, line.Write);

    public static LinkRequest Stop(StopDeclaration stop) => Build(RequestType.Stop, StopDeclaration.Length, stop.Write);

    public static LinkRequest Heartbeat(uint milliseconds) =>
        Build(RequestType.Heartbeat, 4, body => BinaryPrimitives.WriteUInt32LittleEndian(body, milliseconds));

    /// <param name="pins">Mask of the pins that select a multiplexer's input; 0 for none.</param>
    public static LinkRequest Selects(uint pins) =>
        Build(RequestType.Selects, 4, body => BinaryPrimitives.WriteUInt32LittleEndian(body, pins));

    public static LinkRequest Arm(uint limitsDigest) =>
        Build(RequestType.Arm, 4, body => BinaryPrimitives.WriteUInt32LittleEndian(body, limitsDigest));

    /// <param name="high">Mask of the select pins that are high; all the others are low.</param>
    public static LinkRequest Select(uint nonce, uint high) => Build(RequestType.Select, 8, body =>
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, nonce);
        BinaryPrimitives.WriteUInt32LittleEndian(body[4..], high);
    });

    /// <param name="steps">At most <see cref="StepsPerLoad"/>.</param>
    public static LinkRequest Load(uint nonce, byte first, ImmutableArray<ProgramStep> steps)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(steps.Length, StepsPerLoad);
        return Build(RequestType.Load, LoadHeader + (steps.Length * ProgramStep.Length), body =>
        {
            BinaryPrimitives.WriteUInt32LittleEndian(body, nonce);
            body[4] = first;
            body[5] = (byte)steps.Length;
            for (var index = 0; index < steps.Length; index++)
                steps[index].Write(body[(LoadHeader + (index * ProgramStep.Length))..]);
        });
    }

    /// <param name="run">Not 0, and not used before in this session except to repeat this very request.</param>
    public static LinkRequest Run(uint nonce, uint run, byte steps, uint programDigest) => Build(RequestType.Run, 13, body =>
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, nonce);
        BinaryPrimitives.WriteUInt32LittleEndian(body[4..], run);
        body[8] = steps;
        BinaryPrimitives.WriteUInt32LittleEndian(body[9..], programDigest);
    });

    public static LinkRequest Changes(uint run, ushort first, byte count) => Build(RequestType.Changes, 7, body =>
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, run);
        BinaryPrimitives.WriteUInt16LittleEndian(body[4..], first);
        body[6] = count;
    });

    public static LinkRequest LevelRecords(uint run, byte first, byte count) => Records(RequestType.LevelRecords, run, first, count);

    public static LinkRequest Gaps(uint run, byte first, byte count) => Records(RequestType.Gaps, run, first, count);

    /// <summary>Hardware is to stamp the last change of a pin to a level, in the next run alone.</summary>
    /// <param name="pin">Number of a pin with <see cref="PinCapabilities.Fine"/> or <see cref="PinCapabilities.Crossing"/>.</param>
    public static LinkRequest Fine(uint nonce, byte pin, bool high) => Build(RequestType.Fine, 6, body =>
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, nonce);
        body[4] = pin;
        body[5] = high ? (byte)1 : (byte)0;
    });

    public static LinkRequest FineRecord(uint run) => Build(RequestType.FineRecord, 4, body => BinaryPrimitives.WriteUInt32LittleEndian(body, run));

    private static LinkRequest Records(RequestType type, uint run, byte first, byte count) => Build(type, 6, body =>
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, run);
        body[4] = first;
        body[5] = count;
    });

    private delegate void BodyWriter(Span<byte> body);

    private static LinkRequest Build(RequestType type, int length, BodyWriter write)
    {
        var body = new byte[length];
        write(body);
        return new(type, [.. body]);
    }
}
