using System.Collections.Immutable;
using System.Diagnostics;
using System.IO.Ports;
using TestRig.Core.Link;

namespace TestRig.Tests;

/// <summary>A host without manners: sends whatever a test wants sent, and hands over what the device says to it.</summary>
internal sealed class RawLink : IDisposable
{
    private static readonly TimeSpan _patience = TimeSpan.FromSeconds(20);

    private readonly SerialPort _port;
    private readonly FrameDecoder _decoder = new();
    private readonly List<(byte Type, byte Sequence, byte[] Body)> _received = [];
    private byte _sequence;

    public RawLink(string portName)
    {
        _port = new SerialPort(portName, 500_000) { ReadTimeout = 5 };
        _port.Open();
    }

    public static byte[] Framed(byte type, byte sequence, ReadOnlySpan<byte> body)
    {
        var wire = new byte[FrameFormat.LongestWire];
        return wire[..FrameEncoder.Encode(type, sequence, body, wire)];
    }

    public void Send(byte[] bytes) => _port.Write(bytes, 0, bytes.Length);

    /// <summary>Repeats IDENTIFY, as a device that just started may miss it.</summary>
    public Identification Identify()
    {
        var patience = Stopwatch.StartNew();
        while (patience.Elapsed < _patience)
        {
            if (TryAsk((byte)RequestType.Identify, [], TimeSpan.FromMilliseconds(200)) is { } reply)
                return Identification.Parse(reply.Body.AsSpan()).Value ?? throw new InvalidOperationException("IDENTIFY was answered with something else.");
        }
        throw new TimeoutException("IDENTIFY was not answered.");
    }

    public LinkReply Ask(LinkRequest request) => Ask((byte)request.Type, [.. request.Body]);

    /// <summary>Every request with a right CRC has to be answered, whatever is in it.</summary>
    public LinkReply Ask(byte type, byte[] body) =>
        TryAsk(type, body, _patience) ?? throw new TimeoutException($"Request {type:X2} {Convert.ToHexString(body)} was not answered.");

    /// <summary>The next notice of that type; those before it are forgotten.</summary>
    public ImmutableArray<byte> Notice(NoticeType type) =>
        Find(frame => frame.Type == (byte)type, _patience) is { } body ? [.. body] : throw new TimeoutException($"No notice {type} came.");

    public void Dispose() => _port.Dispose();

    private LinkReply? TryAsk(byte type, byte[] body, TimeSpan patience)
    {
        _received.Clear();
        var sequence = unchecked(++_sequence);
        Send(Framed(type, sequence, body));
        return Find(frame => frame.Type == type + MessageTypes.ReplyOffset && frame.Sequence == sequence, patience) is { } reply
            ? LinkReply.Parse(reply).Value
            : null;
    }

    private byte[]? Find(Predicate<(byte Type, byte Sequence, byte[] Body)> wanted, TimeSpan patience)
    {
        var waiting = Stopwatch.StartNew();
        while (true)
        {
            if (_received.FindIndex(wanted) is >= 0 and var index)
            {
                var body = _received[index].Body;
                _received.RemoveRange(0, index + 1);
                return body;
            }
            if (waiting.Elapsed > patience)
                return null;
            Receive();
        }
    }

    private void Receive()
    {
        var buffer = new byte[4096];
        int count;
        try
        {
            count = _port.Read(buffer, 0, buffer.Length);
        }
        catch (TimeoutException)
        {
            return;
        }
        ReadOnlySpan<byte> bytes = buffer.AsSpan(0, count);
        while (true)
        {
            var frame = _decoder.Read(bytes, out var consumed);
            bytes = bytes[consumed..];
            if (frame.Answer == FrameAnswer.NeedMore)
                return;
            if (frame.Answer == FrameAnswer.Frame)
                _received.Add((frame.Type, frame.Sequence, frame.Body.ToArray()));
        }
    }
}
