using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Tests.Boards;
using TestRig.Core.Trials;

namespace TestRig.Core.Tests.Trials;

/// <summary>A socket with round resistors: 200 ohm in the line's lead, 100 ohm for the transfer ratio, 1 Mohm for the leakage.</summary>
internal static class SomeSocket
{
    public static IsolatorType Type { get; } = SomeParts.Isolator() with { Name = "claimed", TestCurrent = new(0.01), LeakageMaximum = new(50e-9) };

    /// <param name="tolerance">Of its resistors, as a fraction.</param>
    /// <param name="hold">The resistor that holds the line idle; null for none.</param>
    public static Socket With(double tolerance = 0.01, double? hold = null)
    {
        var line = new Line("led", "D22", Level.High, Motion: false, Duration.FromMilliseconds(200), Duration.FromMilliseconds(20), "test")
        {
            Series = new(200),
            Hold = hold is { } ohms ? new(new(ohms), SomeParts.Logic, default, "test") : null,
        };
        var part = new IsolatorPart("DUT", Type, SomeParts.Logic, new(150), SomeParts.Logic, new(4_700), TakenAtCollector: false);
        TestPoint Point(string name, string pin) => new(name, pin, null, null);
        var emitter = Point("DUT.4", "A0");
        var channel = new Channel("isolator", line, Point("DUT.2", "D22"), [StageModel.Of(part, emitter, StageModel.SinkOf(part, line))], [], Duration.Zero, null);
        return new(
            channel, part, Point("DUT.1", "A1"), Point("CATHODE", "A2"), Point("SINK", "A3"), emitter, new(new(100), "D30"), Point("LOW", "A4"), new(part.Load, "D31"), new(1e6), tolerance);
    }

    /// <param name="uncertainty">Standard, in volts.</param>
    /// <param name="shared">Of the reference, standard, as a share of the voltage.</param>
    public static LevelReading Reading(double volts, double uncertainty = 0, double shared = 0) =>
        new("A0", Instant.Start, new(volts), new(volts), new(volts), 16, new(Math.Sqrt((uncertainty * uncertainty) + (volts * shared * volts * shared)))) { SharedUncertainty = new(volts * shared) };

    /// <summary>With 10 mA through the LED: 2.25 − 0.25 V over 200 ohm.</summary>
    /// <param name="ratio">Of the part: 10 mA × ratio through 100 ohm, above 0.2 V at the pin. The bleeder is left out.</param>
    public static SocketReadings Readings(double ratio, double forward = 1.15, double dark = 0.001, double uncertainty = 0.005, double shared = 0) => new(
        Reading(dark, uncertainty, shared),
        new(Reading(2.25 + forward, uncertainty, shared), Reading(2.25, uncertainty, shared), Reading(0.25, uncertainty, shared), Reading(0.2 + ratio, uncertainty, shared), Reading(0.2, uncertainty, shared)));

    public static SocketDelays Delays(double on = 6e-6, double off = 50e-6) => new(new(on, 0.5e-6), new(off, 0.5e-6), IsSilent: false, "");

    public static PartTrial Trial(int number, double ratio, double forward = 1.15, double dark = 0.001, SocketDelays? delays = null, params IsolatorType[] others) => PartTrial.Of(
        number, With(), Type, others, SocketFigures.Of(With(), Readings(ratio, forward, dark), Reading(0.001, 0.005), Type), delays ?? Delays());
}
