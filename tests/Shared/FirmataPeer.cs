using System.Collections.Concurrent;
using System.Diagnostics;

namespace TestRig.Tests.Shared;

/// <summary>
/// A board that speaks Firmata 2.5, with a small card wired to it: 20 pins, of which 14 to 19 read voltages as A0 to A5, like a common small board. Written from the
/// published protocol (github.com/firmata/protocol: protocol.md, and its version 2.5), for tests only. In each turn of its loop it first reports the inputs that
/// changed, then answers what has come, then reports voltages (the order of the standard firmware: value from memory).
/// </summary>
internal sealed class FirmataPeer : IFarEnd, IDisposable
{
    private const int Pins = 20, FirstAnalog = 14;
    private const byte Input = 0, Output = 1, Analog = 2, PullUp = 11;

    private readonly BlockingCollection<byte[]> _toHost = [];
    private readonly ConcurrentQueue<byte> _fromHost = new();
    private readonly AutoResetEvent _came = new(false);
    private readonly byte[] _modes = new byte[Pins];
    private readonly bool[] _values = new bool[Pins];
    private readonly int[] _lastPort = [-1, -1, -1];
    private readonly bool[] _reportsPort = new bool[3];
    private readonly bool[] _reportsAnalog = new bool[Pins - FirstAnalog];
    private readonly List<byte> _message = [];
    private readonly Stopwatch _time = Stopwatch.StartNew();
    private readonly Thread _loop;
    private double _samplingMilliseconds = 19;
    private double _lastSample;
    private volatile bool _ending;

    public FirmataPeer()
    {
        _loop = new Thread(Run) { IsBackground = true, Name = "Firmata board" };
        _loop.Start();
    }

    /// <summary>Volts at a pin that the board does not drive, given the level of each line; null where nothing drives it.</summary>
    public Func<int, Func<int, bool>, double?> Card { get; init; } = (_, _) => null;

    public (byte Major, byte Minor) Protocol { get; init; } = (2, 5);

    /// <summary>It takes what comes and answers nothing any more.</summary>
    public bool Silent { get; set; }

    public bool Gone { get; set; }

    /// <summary>Each time a pin was driven to a level, in order: "2 high".</summary>
    public ConcurrentQueue<string> Log { get; } = new();

    public bool IsOutput(int pin) => _modes[pin] == Output;

    public int Read(byte[] buffer)
    {
        if (Gone)
            throw new IOException("unplugged");
        if (!_toHost.TryTake(out var bytes, 50))
            return 0;
        bytes.CopyTo(buffer, 0);
        return bytes.Length;
    }

    public void Write(ReadOnlySpan<byte> bytes)
    {
        foreach (var one in bytes)
            _fromHost.Enqueue(one);
        _came.Set();
    }

    public void Dispose()
    {
        _ending = true;
        _loop.Join();
        _came.Dispose();
        _toHost.Dispose();
    }

    private void Run()
    {
        while (!_ending)
        {
            if (_fromHost.IsEmpty)
                _came.WaitOne(1);
            ReportPorts();
            // What came by now, and no more: a board is round its loop long before an answer has reached the host and the next question is back. This thread may not
            // be, and would answer two questions without a report in between.
            for (var here = _fromHost.Count; here > 0 && _fromHost.TryDequeue(out var one); here--)
            {
                if (!Silent)
                    Take(one);
            }
            ReportVoltages();
        }
    }

    /// <summary>A driven pin shows what it is driven to; any other what the card puts on it, or its pull-up.</summary>
    private double VoltsAt(int pin) =>
        _modes[pin] == Output ? (_values[pin] ? 5 : 0) : Card(pin, line => _modes[line] == Output && _values[line]) ?? (_modes[pin] == PullUp ? 5 : 0);

    private void ReportPorts()
    {
        for (var port = 0; port < _reportsPort.Length; port++)
        {
            var levels = 0;
            for (var bit = 0; bit < 8 && (port * 8) + bit < Pins; bit++)
            {
                var pin = (port * 8) + bit;
                if (_modes[pin] is Input or PullUp && VoltsAt(pin) > 2.5)
                    levels |= 1 << bit;
            }
            if (_reportsPort[port] && levels != _lastPort[port])
            {
                _lastPort[port] = levels;
                Send((byte)(0x90 | port), (byte)(levels & 0x7F), (byte)(levels >> 7));
            }
        }
    }

    private void ReportVoltages()
    {
        if (_time.Elapsed.TotalMilliseconds - _lastSample < _samplingMilliseconds)
            return;
        _lastSample = _time.Elapsed.TotalMilliseconds;
        for (var channel = 0; channel < _reportsAnalog.Length; channel++)
        {
            if (!_reportsAnalog[channel] || _modes[FirstAnalog + channel] != Analog)
                continue;
            var count = (int)Math.Clamp(VoltsAt(FirstAnalog + channel) / 5 * 1024, 0, 1023);
            Send((byte)(0xE0 | channel), (byte)(count & 0x7F), (byte)(count >> 7));
        }
    }

    private void Take(byte one)
    {
        if (one >= 0x80 && one != 0xF7)
            _message.Clear();
        _message.Add(one);
        var begin = _message[0];
        if (begin == 0xF0 ? one != 0xF7 : begin is 0xF9 or 0xFF ? false : _message.Count < (begin < 0xF0 && (begin & 0xF0) is 0xC0 or 0xD0 ? 2 : 3))
            return;
        Obey([.. _message]);
        _message.Clear();
    }

    private void Obey(byte[] message)
    {
        switch (message[0])
        {
            case 0xF9:
                Send(0xF9, Protocol.Major, Protocol.Minor);
                break;
            case 0xF4 when message[1] < Pins:
                SetMode(message[1], message[2]);
                break;
            // Digital value of one pin, new in 2.5: only of an output.
            case 0xF5 when message[1] < Pins && _modes[message[1]] == Output:
                Drive(message[1], message[2] != 0);
                break;
            case >= 0xC0 and < 0xD0 when (message[0] & 0x0F) < _reportsAnalog.Length:
                _reportsAnalog[message[0] & 0x0F] = message[1] != 0;
                break;
            case >= 0xD0 and < 0xE0 when (message[0] & 0x0F) < _reportsPort.Length:
                _reportsPort[message[0] & 0x0F] = message[1] != 0;
                _lastPort[message[0] & 0x0F] = -1;
                break;
            case 0xF0 when message.Length > 2:
                Answer(message);
                break;
            default:
                break;
        }
    }

    private void SetMode(byte pin, byte mode)
    {
        if (mode != Output && _modes[pin] == Output)
            Log.Enqueue($"{pin} in");
        _modes[pin] = mode;
        // A pull-up is the output register at high: an output that comes from it begins at high.
        if (mode == PullUp)
            _values[pin] = true;
        else if (mode == Output)
            Log.Enqueue($"{pin} {(_values[pin] ? "high" : "low")}");
        else
            _values[pin] = false;
    }

    private void Drive(byte pin, bool high)
    {
        if (_values[pin] != high)
            Log.Enqueue($"{pin} {(high ? "high" : "low")}");
        _values[pin] = high;
    }

    private void Answer(byte[] message)
    {
        switch (message[1])
        {
            case 0x79:
                Send([0xF0, 0x79, 2, 5, .. "TestPeer.ino".SelectMany(letter => new[] { (byte)(letter & 0x7F), (byte)(letter >> 7) }), 0xF7]);
                break;
            case 0x6B:
                Send([0xF0, 0x6C, .. Enumerable.Range(0, Pins).SelectMany(Capabilities), 0xF7]);
                break;
            case 0x69:
                Send([0xF0, 0x6A, .. Enumerable.Range(0, Pins).Select(pin => (byte)(pin < FirstAnalog ? 0x7F : pin - FirstAnalog)), 0xF7]);
                break;
            case 0x6D when message[2] < Pins:
                Send(0xF0, 0x6E, message[2], _modes[message[2]], (byte)(_values[message[2]] ? 1 : 0), 0xF7);
                break;
            case 0x7A when message.Length > 4:
                _samplingMilliseconds = message[2] | (message[3] << 7);
                break;
            default:
                break;
        }
    }

    /// <summary>Pins 0 and 1 carry the serial line. Digital modes have one bit, voltages ten.</summary>
    private static byte[] Capabilities(int pin) => pin < 2 ? [0x7F]
        : pin < FirstAnalog ? [Input, 1, PullUp, 1, Output, 1, 0x7F]
        : [Input, 1, PullUp, 1, Output, 1, Analog, 10, 0x7F];

    private void Send(params byte[] bytes) => _toHost.Add(bytes);
}
