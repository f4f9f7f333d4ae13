using TestRig.Bench.Adapters.Gpio;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>Time that passes only when something takes it: no test depends on how fast this computer is.</summary>
internal sealed class VirtualClock : IHostClock
{
    public const long Microsecond = 1_000_000, Millisecond = 1_000_000_000;

    public long Now { get; private set; }

    public long Tick => 1000;

    public void Pass(long picoseconds) => Now += picoseconds;

    public void WaitUntil(long instant) => Now = Math.Max(Now, instant);
}
