using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters;

/// <summary>What an adapter says of itself.</summary>
/// <param name="Kind">"serial" for our own firmware behind a serial port; "gpio" for pins that this computer times; "simulated" for a bench that does not exist; "recording" for a file of another instrument's.</param>
/// <param name="Place">Where it is attached, e.g. the port's name.</param>
/// <param name="Board">The board's name, for people.</param>
/// <param name="Firmware">Version of its firmware.</param>
/// <param name="Tick">Step of its clock.</param>
/// <param name="Resolution">Width of a change's interval when nothing else happens near it.</param>
/// <param name="ClockTolerance">As a fraction, ±.</param>
/// <param name="StopBound">From a stop input's change to all lines idle, worst case.</param>
/// <param name="LongestProgram">The longest program that it accepts.</param>
/// <param name="SampleTime">One conversion of a level reading with its overhead, worst case.</param>
/// <param name="PinMaximum">The highest voltage that may be put on any pin, with the adapter's supply as low as it may be.</param>
public sealed record AdapterIdentity(
    string Kind,
    string Place,
    string Board,
    string Firmware,
    Duration Tick,
    Duration Resolution,
    double ClockTolerance,
    Duration StopBound,
    Duration LongestProgram,
    Duration SampleTime,
    Volts PinMaximum)
{
    /// <summary>Time between two looks while nothing happens, shortest = longest; zero where there is no such time, or it is not known.</summary>
    public Duration Look { get; init; }

    /// <summary><see cref="Kind"/> of pins that this computer times by itself.</summary>
    public const string GpioKind = "gpio";

    /// <summary><see cref="Kind"/> of the bench that does not exist.</summary>
    public const string SimulatedKind = "simulated";

    /// <summary><see cref="Kind"/> of what another instrument recorded.</summary>
    public const string RecordingKind = "recording";

    /// <summary>
    /// True when this computer alone times the looks and enforces the limits: weaker than a device that does, since a program that crashes or hangs leaves the
    /// lines as they are.
    /// </summary>
    public bool IsHostTimed { get; init; }

    /// <summary>How late a step of a program may be, and the end of a line's on-time with it. Zero where a device of ours serves the steps.</summary>
    public Duration StepLateness => IsHostTimed ? Resolution : Duration.Zero;

    /// <summary>False when a line's own pin cannot be read while it is driven: then the capture shows when it was written, not what it did.</summary>
    public bool ReadsLinesBack { get; init; } = true;

    /// <summary>False when a line that idles high may be low for a moment while it is armed.</summary>
    public bool ArmsHighCleanly { get; init; } = true;

    /// <summary>True when nothing was driven: what was seen is in a file, <see cref="Place"/>, and <see cref="Firmware"/> is the program that wrote it, or empty.</summary>
    public bool IsRecording => Kind == RecordingKind;

    /// <summary>True when no board was tested, which everything that is shown has to say.</summary>
    public bool IsSimulated => Kind == SimulatedKind;
}
