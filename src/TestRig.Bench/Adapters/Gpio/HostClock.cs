using System.Diagnostics;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>This computer's monotonic clock.</summary>
internal sealed class HostClock : IHostClock
{
    /// <summary>Of a computer's quartz, disciplined or not (±100 ppm: value from memory).</summary>
    public const double Tolerance = 100e-6;

    /// <summary>
    /// Nearer than this to an instant it spins: a sleep is some milliseconds late (3 ms idle, 11 ms under load, measured on two cores), a spin is not unless another
    /// thread takes the core.
    /// </summary>
    private const long SpinWithin = 20_000_000_000;

    private static readonly long _picosecondsPerCount = 1_000_000_000_000 / Stopwatch.Frequency;

    private readonly long _started = Stopwatch.GetTimestamp();

    public long Now => checked((Stopwatch.GetTimestamp() - _started) * _picosecondsPerCount);

    public long Tick => _picosecondsPerCount;

    public void WaitUntil(long instant)
    {
        while (instant - Now > SpinWithin)
            Thread.Sleep(1);
        while (Now < instant)
            Thread.SpinWait(16);
    }
}
