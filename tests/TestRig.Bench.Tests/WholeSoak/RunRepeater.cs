using System.Buffers.Binary;
using TestRig.Core.Link;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>A host that is not as ours is: when a run has ended it asks for the same once more, under the next number.</summary>
internal sealed class RunRepeater
{
    private const int RunNumber = 4;

    private readonly FrameDecoder _fromHost = new();
    private readonly FrameDecoder _fromDevice = new();
    private byte[]? _run;

    /// <summary>What the true host sends.</summary>
    public void See(ReadOnlySpan<byte> bytes)
    {
        foreach (var (type, body) in Frames(_fromHost, bytes))
        {
            if (type == (byte)RequestType.Run)
                _run = body;
        }
    }

    /// <summary>What to send when these bytes tell of a run's end; null for nothing.</summary>
    public byte[]? Repeated(ReadOnlySpan<byte> bytes)
    {
        if (_run is null || Frames(_fromDevice, bytes).TrueForAll(frame => frame.Type != (byte)NoticeType.Done))
            return null;
        BinaryPrimitives.WriteUInt32LittleEndian(_run.AsSpan(RunNumber), BinaryPrimitives.ReadUInt32LittleEndian(_run.AsSpan(RunNumber)) + 1);
        var wire = new byte[FrameFormat.LongestWire];
        var again = wire[..FrameEncoder.Encode((byte)RequestType.Run, 0, _run, wire)];
        _run = null;
        return again;
    }

    private static List<(byte Type, byte[] Body)> Frames(FrameDecoder decoder, ReadOnlySpan<byte> bytes)
    {
        var frames = new List<(byte, byte[])>();
        while (true)
        {
            var frame = decoder.Read(bytes, out var consumed);
            bytes = bytes[consumed..];
            if (frame.Answer == FrameAnswer.NeedMore)
                return frames;
            if (frame.Answer == FrameAnswer.Frame)
                frames.Add((frame.Type, frame.Body.ToArray()));
        }
    }
}
