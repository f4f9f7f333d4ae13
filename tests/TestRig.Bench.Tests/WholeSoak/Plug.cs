using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Link;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The socket for an adapter: what is plugged in, and who has the port open.</summary>
internal sealed class Plug
{
    private readonly World _world;
    private readonly Checker _checker;
    private readonly Random _random;
    private Device? _device;
    private readonly RunRepeater _repeater = new();
    private PortEnd? _open;

    public Plug(World world, Checker checker, WireFaults faults, Random random, FaultCount count)
    {
        (_world, _checker, _random) = (world, checker, random);
        ToDevice = new(world, "to the device:", faults, random, count, bytes =>
        {
            // Noise comes here too, and is told for speech: that makes the device's limit look longer, never shorter.
            _checker.HostSpoke();
            _device?.Receive(bytes);
        });
        ToHost = new(world, "to the host:", faults, random, count, bytes =>
        {
            _open?.Receive(bytes);
            if (RepeatsRuns && _repeater.Repeated(bytes) is { } again)
                ToDevice!.Send(again);
        });
    }

    public Wire ToDevice { get; }

    public Wire ToHost { get; }

    /// <summary>Behind the host there is one more, which has each run executed once more under a new number.</summary>
    public bool RepeatsRuns { get; init; }

    /// <summary>Whether a board starts anew when its port is opened, as many do.</summary>
    public bool ResetsOnOpening { get; init; }

    public bool IsEmpty => _device is null;

    public Device? Device => _device;

    public void PlugIn(Device device)
    {
        _world.Tell("an adapter is plugged in");
        _device = device;
        _checker.Watch(device);
        device.PowerOn();
    }

    public void Unplug()
    {
        _world.Tell("the adapter is unplugged");
        ToDevice.Cut();
        ToHost.Cut();
        _device?.PowerOff();
        _device = null;
        _open?.Lose();
        _open = null;
    }

    /// <returns>Null when nothing is there.</returns>
    public ILinkPort? Open(HostProcess process)
    {
        if (_device is null)
            return null;
        _open = new(process);
        if (ResetsOnOpening)
            _device.Reset(ResetCauses.External, TimeSpan.FromMilliseconds(_random.Next(60, 1800)));
        return new PlugPort(this, _open);
    }

    /// <summary>The process that had the port open is no more.</summary>
    public void Close()
    {
        ToHost.Cut();
        _open = null;
    }

    /// <summary>What the port is to whoever is behind it.</summary>
    private sealed class PortEnd(HostProcess process)
    {
        public ILinkReceiver? Receiver { get; set; }

        public bool IsLost { get; private set; }

        public void Receive(byte[] bytes) => process.Soon(() => Receiver?.Receive(bytes));

        public void Lose()
        {
            IsLost = true;
            process.Soon(() => Receiver?.Lose(new IOException("The plug is pulled.")));
        }
    }

    /// <summary>The port as a process has it open.</summary>
    private sealed class PlugPort(Plug plug, PortEnd end) : ILinkPort
    {
        public string Name => "the simulated port";

        public void Start(ILinkReceiver receiver) => end.Receiver = receiver;

        public void Write(ReadOnlySpan<byte> bytes)
        {
            if (end.IsLost || plug._open != end)
                throw new IOException("The plug is pulled.");
            if (plug.RepeatsRuns)
                plug._repeater.See(bytes);
            plug.ToDevice.Send(bytes.ToArray());
        }

        public void Dispose()
        {
            end.Receiver = null;
            if (plug._open == end)
                plug.Close();
        }
    }
}
