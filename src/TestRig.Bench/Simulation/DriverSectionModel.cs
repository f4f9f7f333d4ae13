using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>A transistor with its base resistor and the coil that it switches. Their values are those of an ordinary contactor driver (common practice).</summary>
internal sealed class DriverSectionModel : Section
{
    private const double SaturatedVolts = 0.2, SaturatedOhms = 2, StuckOhms = 5, CoilOhms = 400, BaseOhms = 22_000, BaseVolts = 0.65;

    private readonly DriverType _type;
    private readonly double _supply;
    private readonly double _needed;

    public DriverSectionModel(EventQueue time, DriverPart part, double supply, Net input, Net output, SectionFault fault, Random random)
        : base(time, input, output, fault, random)
    {
        _type = part.DriverType;
        _supply = supply;
        _needed = BaseVolts + (1.2 * Variation.Factor(random, 0.2));
        output.Join(new(_type.HighSide ? 0 : supply, part.Load?.Value ?? CoilOhms));
        if (_type.HighSide && fault.Mode != SectionFaultMode.Removed)
            input.Join(new(supply - BaseVolts, BaseOhms, Flow.IntoNet));
    }

    protected override double OnDelay => _type.OnDelay.Typical.Picoseconds;

    protected override double OffDelay => _type.OffDelay.Typical.Picoseconds;

    protected override Drive? WhenOn => new(_type.HighSide ? Math.Max(0, _supply - SaturatedVolts) : Math.Min(_supply, SaturatedVolts), SaturatedOhms);

    protected override Drive? WhenOff => null;

    protected override Drive Balance => new(_supply / 2, SaturatedOhms);

    protected override bool DeadStaysIdle => false;

    protected override Drive? StuckAt(bool high) => new(high ? _supply : 0, StuckOhms);

    protected override Drive WeakDrive(bool on) => new(_supply * (on == _type.HighSide ? 0.4 : 0.6), SaturatedOhms);

    /// <summary>So far below its supply (PNP), or above ground (NPN), that enough current flows through the base resistor.</summary>
    protected override bool Asked(bool last) => Input.Volts is { } volts && (_type.HighSide ? _supply - volts : volts) > _needed;
}
