using System.Buffers.Binary;
using System.Collections.Concurrent;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Link;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Adapters.Serial;

/// <summary>
/// A device at the other end of an in-memory port: it follows the protocol for what these tests need, in no time, and misbehaves where a test says so.
/// Its pins: D0, D1 lines that are sensed, D1 a select pin too, from version 1.1 on; A0 sensed and analog; S0 sensed, a stop input.
/// </summary>
internal sealed class FakeDevice : ILinkPort, IFarEnd
{
    private const uint Nonce = 0xABCD;

    private readonly BlockingCollection<byte[]> toHost = [];
    private readonly FrameDecoder decoder = new();
    private readonly Lock state = new();
    private byte noticeSequence;
    private uint lastRun;
    private byte[] lastEnd = [];
    private readonly SortedDictionary<byte, byte[]> lines = [];
    private readonly SortedDictionary<byte, byte[]> stops = [];
    private byte[] heartbeat = [];
    private byte[] selects = [];
    private byte[] program = [];
    private ReadingThread? reading;

    public string Name => "memory";

    /// <summary>The limits as they were declared: lines, then stops, the heartbeat, and the select pins if there are any, in hex.</summary>
    public IEnumerable<string> Declared => lines.Values.Concat(stops.Values).Append(heartbeat).Concat(selects.Length == 0 ? [] : [selects]).Select(Convert.ToHexString);

    /// <summary>The program as it was loaded, in hex.</summary>
    public string Program => Convert.ToHexString(program);

    public uint Session { get; set; } = 0x1001;

    public byte Major { get; set; } = 1;

    public byte Minor { get; set; } = 1;

    /// <summary>Masks of SELECT, in order.</summary>
    public ConcurrentQueue<uint> Selected { get; } = [];

    /// <summary>Types of all requests, in order.</summary>
    public ConcurrentQueue<RequestType> Requests { get; } = [];

    /// <summary>Run numbers that were really run.</summary>
    public ConcurrentQueue<uint> Runs { get; } = [];

    /// <summary>As if another host had run that number in this session before.</summary>
    public uint LastRun
    {
        init
        {
            lastRun = value;
            lastEnd = [.. U32(value), (byte)BurstOutcome.Complete, BurstEnd.NoPin, .. U32(16_000), .. U16(1), 0, 0, 0b0011];
        }
    }

    /// <summary>Bytes that came while a burst ran.</summary>
    public ConcurrentQueue<byte> BytesInBurst { get; } = [];

    /// <summary>What happens to the reply to a request before it goes out: the test returns the bytes for the wire, or none.</summary>
    public Func<RequestType, byte[], byte[]> OnReply { get; set; } = (_, wire) => wire;

    /// <summary>What happens to DONE before it goes out.</summary>
    public Func<byte[], byte[]> OnDone { get; set; } = wire => wire;

    /// <summary>Called in place of answering; returns the reply's body, or null to answer as usual.</summary>
    public Func<RequestType, byte[]?> Instead { get; set; } = _ => null;

    /// <summary>When true a burst goes on until a byte comes from the host or <see cref="EndBurst"/> is called.</summary>
    public bool BurstsLast { get; set; }

    /// <summary>What STATUS tells of frames that came damaged.</summary>
    public uint ThrownAway { get; set; }

    /// <summary>What STATUS tells of bytes that came too fast.</summary>
    public uint Overruns { get; set; }

    /// <summary>While true nothing is answered.</summary>
    public bool Deaf { get; set; }

    /// <summary>Bytes in front of each reply.</summary>
    public Func<byte[]> Noise { get; set; } = () => [];

    public bool Gone { get; set; }

    public bool InBurst { get; private set; }

    public (uint Stamp, byte Snapshot)[] Changes { get; set; } = [(100, 0b0011), (1700, 0b0010), (1740, 0b0110), (9000, 0b0111)];

    public (uint From, uint To, byte Why)[] Gaps { get; set; } = [];

    /// <summary>Change records that DONE promises beyond those that there are.</summary>
    public int ChangesMissing { get; set; }

    public void Start(ILinkReceiver receiver)
    {
        reading = new(Name, Read, receiver);
        reading.Start();
    }

    public int Read(byte[] buffer)
    {
        if (Gone)
            throw new IOException("The fake device is gone.");
        if (!toHost.TryTake(out var bytes, millisecondsTimeout: 20))
            return 0;
        bytes.CopyTo(buffer, 0);
        return bytes.Length;
    }

    public void Write(ReadOnlySpan<byte> bytes)
    {
        if (Gone)
            throw new IOException("The fake device is gone.");
        lock (state)
        {
            if (InBurst)
            {
                foreach (var value in bytes)
                    BytesInBurst.Enqueue(value);
                FinishBurst(BurstOutcome.HostByte, BurstEnd.NoPin);
                return;
            }
            while (true)
            {
                var frame = decoder.Read(bytes, out var consumed);
                bytes = bytes[consumed..];
                if (frame.Answer == FrameAnswer.NeedMore)
                    return;
                if (frame.Answer == FrameAnswer.Frame)
                    Answer((RequestType)frame.Type, frame.Sequence, frame.Body.ToArray());
            }
        }
    }

    public void Dispose()
    {
        reading?.BeginEnd();
        Gone = true;
        reading?.AwaitEnd();
    }

    public void EndBurst(BurstOutcome outcome = BurstOutcome.Complete, byte pin = BurstEnd.NoPin)
    {
        lock (state)
            FinishBurst(outcome, pin);
    }

    public void Restart(uint session, ResetCauses cause)
    {
        lock (state)
        {
            Session = session;
            lastRun = 0;
            InBurst = false;
            Notice(NoticeType.Boot, [(byte)cause, .. U32(session)]);
        }
    }

    public void Send(byte[] bytes)
    {
        foreach (var piece in bytes.Chunk(1000))
            toHost.Add(piece);
    }

    private void Answer(RequestType type, byte sequence, byte[] body)
    {
        Requests.Enqueue(type);
        if (Deaf)
            return;
        var accepted = false;
        var reply = Instead(type) ?? Usual(type, body, ref accepted);
        Send([.. Noise(), .. OnReply(type, Framed(MessageTypes.ReplyTo(type), sequence, reply))]);
        if (!accepted)
            return;
        InBurst = true;
        if (!BurstsLast)
            FinishBurst(BurstOutcome.Complete, BurstEnd.NoPin);
    }

    private byte[] Usual(RequestType type, byte[] body, ref bool accepted)
    {
        switch (type)
        {
            case RequestType.Identify:
                return [0, .. Identification()];
            case RequestType.Pins:
                byte[][] pins = [[3, 2, (byte)'D', (byte)'0'], [(byte)(Minor == 0 ? 3 : 19), 2, (byte)'D', (byte)'1'], [6, 2, (byte)'A', (byte)'0'], [10, 2, (byte)'S', (byte)'0']];
                // Two at a time, so that the host has to ask again.
                return [0, 4, body[0], .. pins.Skip(body[0]).Take(2).SelectMany(pin => pin)];
            case RequestType.Status:
                return [0, 0, 1, .. U32(0), .. U32(ThrownAway), .. U32(Overruns), .. U32(lastRun), .. lastRun == 0 ? [] : lastEnd];
            case RequestType.Inputs:
                return [0, .. U32(5), 0b1010];
            case RequestType.Levels:
                return [0, 0, body[4], .. U32(512u * body[4]), .. U16(510), .. U16(514), 0, 0];
            case RequestType.Leads:
                return [0, .. body[5..].SelectMany(pin => new byte[] { pin, 0, 1 })];
            case RequestType.ClearLimits:
                lines.Clear();
                stops.Clear();
                heartbeat = [0, 0, 0, 0];
                selects = [];
                return [0];
            case RequestType.Line:
                lines[body[0]] = body;
                return [0];
            case RequestType.Stop:
                stops[body[0]] = body;
                return [0];
            case RequestType.Heartbeat:
                heartbeat = body;
                return [0];
            case RequestType.Selects or RequestType.Select when Minor == 0:
                return [(byte)ReplyResult.UnknownRequest];
            case RequestType.Selects:
                selects = body;
                return [0];
            case RequestType.Select when !body.AsSpan(0, 4).SequenceEqual(U32(Nonce)):
                return [(byte)ReplyResult.WrongNonce];
            case RequestType.Select:
                Selected.Enqueue(BinaryPrimitives.ReadUInt32LittleEndian(body.AsSpan(4)));
                return [0];
            case RequestType.Arm:
                var digest = LinkChecksum.Of([.. lines.Values.SelectMany(line => line), .. stops.Values.SelectMany(stop => stop), .. heartbeat, .. selects]);
                return body.SequenceEqual(U32(digest)) ? [0, .. U32(Nonce)] : [(byte)ReplyResult.LimitsDiffer, .. U32(digest)];
            case RequestType.Load or RequestType.Run when !body.AsSpan(0, 4).SequenceEqual(U32(Nonce)):
                return [(byte)ReplyResult.WrongNonce];
            case RequestType.Load:
                program = [.. program[..(body[4] * 10)], .. body[6..]];
                return [0];
            case RequestType.Run:
                var run = BinaryPrimitives.ReadUInt32LittleEndian(body.AsSpan(4));
                if (run <= lastRun)
                    return [(byte)ReplyResult.AlreadyRun];
                if (body[8] * 10 != program.Length || !body.AsSpan(9).SequenceEqual(U32(LinkChecksum.Of(program))))
                    return [(byte)ReplyResult.ProgramRefused, 0, (byte)ProgramRefusal.DigestDiffers];
                lastRun = run;
                Runs.Enqueue(run);
                accepted = true;
                return [0, .. U32(16_000)];
            case RequestType.Changes:
                var first = BinaryPrimitives.ReadUInt16LittleEndian(body.AsSpan(4));
                return [0, .. Changes.Skip(first).Take(body[6]).SelectMany(change => (byte[])[.. U32(change.Stamp), change.Snapshot])];
            case RequestType.Gaps:
                return [0, .. Gaps.Skip(body[4]).Take(body[5]).SelectMany(gap => (byte[])[.. U32(gap.From), .. U32(gap.To), gap.Why])];
            case RequestType.LevelRecords:
                return [0, .. U32(2000), 0, 4, .. U32(4 * 300), .. U16(299), .. U16(301), 0, 0];
            default:
                return [0];
        }
    }

    private void FinishBurst(BurstOutcome outcome, byte pin)
    {
        InBurst = false;
        lastEnd =
        [
            .. U32(lastRun), (byte)outcome, pin, .. U32(16_000), .. U16((ushort)(Changes.Length + ChangesMissing)), 1, (byte)Gaps.Length, 0b0011,
        ];
        Send(OnDone(Framed((byte)NoticeType.Done, noticeSequence++, lastEnd)));
    }

    private void Notice(NoticeType type, byte[] body) => Send(Framed((byte)type, noticeSequence++, body));

    public static byte[] Framed(byte type, byte sequence, byte[] body)
    {
        var wire = new byte[FrameFormat.LongestWire];
        return wire[..FrameEncoder.Encode(type, sequence, body, wire)];
    }

    /// <summary>L = 40, S = 8, D = 48, H = 30, no housekeeping; 62.5 ns ticks; 10 bits of 5 V ± 1 %.</summary>
    private byte[] Identification() =>
    [
        .. "TRig"u8, Major, Minor, 0, 1, .. U32(Session), .. U32(62_500), .. U32(5_000), .. U16(40), .. U16(8), .. U16(48), .. U16(30), .. U32(0), .. U32(128), .. U32(160),
        10, .. U32(5_000), .. U32(10_000), .. U32(2_000), .. U16(64), .. U16(32), .. U16(320), 4, 1, 40, .. U16(400), 32, 40, .. U32(4_000), 4, .. "fake"u8,
    ];

    private static byte[] U16(ushort value) => [(byte)(value & 0xFF), (byte)(value >> 8)];

    private static byte[] U32(uint value) => [.. U16((ushort)(value & 0xFFFF)), .. U16((ushort)(value >> 16))];
}
