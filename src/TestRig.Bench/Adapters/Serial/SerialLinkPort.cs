using System.IO.Ports;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// A serial port of this computer. DTR and RTS are left alone: pseudo-terminals have none, and boards that reset on DTR do so when the
/// system opens the port, whatever we say.
/// </summary>
internal sealed class SerialLinkPort : ILinkPort
{
    /// <summary>Of our own firmware.</summary>
    public const int OwnBaudRate = 500_000;

    /// <summary>So long does a pending read keep the reading thread from seeing that it shall stop.</summary>
    private static readonly TimeSpan ReadPause = TimeSpan.FromMilliseconds(100);

    /// <summary>The longest frame takes 6 ms; a port that takes no bytes for this long has lost its other end.</summary>
    private static readonly TimeSpan WriteLimit = TimeSpan.FromSeconds(1);

    private static readonly TimeSpan CloseLimit = TimeSpan.FromSeconds(2);

    private readonly SerialPort port;
    private readonly Stream stream;
    private readonly PortLock held;
    private ReadingThread? reading;

    private SerialLinkPort(SerialPort port, PortLock held)
    {
        this.port = port;
        this.held = held;
        stream = port.BaseStream;
    }

    public string Name => port.PortName;

    /// <summary>Opens the port for this program alone.</summary>
    /// <param name="baudRate">Bits per second; a pseudo-terminal ignores it.</param>
    /// <exception cref="AdapterException">Missing, not permitted, or busy.</exception>
    public static SerialLinkPort Open(string portName, int baudRate)
    {
        var facts = PortFacts.Of(portName);
        if (!facts.Exists)
            throw facts.Explain(null);
        var held = PortLock.Take(portName) ?? throw facts.ExplainBusy(null);
        var port = new SerialPort(portName, baudRate, Parity.None, 8, StopBits.One)
        {
            Handshake = Handshake.None,
            ReadTimeout = (int)ReadPause.TotalMilliseconds,
            WriteTimeout = (int)WriteLimit.TotalMilliseconds,
        };
        try
        {
            port.Open();
        }
        catch (Exception cause) when (cause is IOException or UnauthorizedAccessException or ArgumentException or InvalidOperationException)
        {
            port.Dispose();
            held.Dispose();
            throw PortFacts.Of(portName).Explain(cause);
        }
        return new(port, held);
    }

    public void Start(ILinkReceiver receiver)
    {
        reading = new(Name, Read, receiver);
        reading.Start();
    }

    /// <summary>Waits a short while (about 100 ms) for bytes. For who does not <see cref="Start"/>; one thread reads.</summary>
    /// <returns>The number of bytes read; 0 when none came in that time.</returns>
    public int Read(byte[] buffer)
    {
        try
        {
            return stream.Read(buffer, 0, buffer.Length);
        }
        catch (TimeoutException)
        {
            return 0;
        }
    }

    public void Write(ReadOnlySpan<byte> bytes) => stream.Write(bytes);

    /// <summary>
    /// After a write to a port whose other end is gone, System.IO.Ports hangs in Dispose for ever. So it is disposed on a thread of its own,
    /// which ends with the program at the latest.
    /// </summary>
    public void Dispose()
    {
        reading?.BeginEnd();
        var closing = new Thread(port.Dispose) { IsBackground = true, Name = "closing " + Name };
        closing.Start();
        closing.Join(CloseLimit);
        reading?.AwaitEnd();
        held.Dispose();
    }
}
