using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>
/// A transistor behind a logic input: an open collector, or one of an array of Darlington transistors. It takes its output to ground or lets it go, and its load pulls it up.
/// </summary>
internal sealed class SwitchSectionModel : Section
{
    /// <summary>Of a load that the profile does not describe: a small coil (common practice).</summary>
    private const double UsualLoadOhms = 400;

    private const double SaturatedOhms = 5, StuckOhms = 5;

    private readonly DriverType _type;
    private readonly double _supply;
    private readonly double _threshold;
    private readonly double _saturated;

    public SwitchSectionModel(EventQueue time, DriverPart part, InputLoad logic, double supply, Net input, Net output, SectionFault fault, Random random)
        : base(time, input, output, fault, random)
    {
        (_type, _supply) = (part.DriverType, supply);
        var (low, high) = (logic.Limits.LowMaximum.Value, logic.Limits.HighMinimum.Value);
        _threshold = (low + (0.4 * (high - low))) * Variation.Factor(random, 0.03);
        _saturated = (_type.SaturationTypical?.Value ?? 0.2) * Variation.Factor(random, 0.1);
        output.Join(new(supply, part.Load?.Value ?? UsualLoadOhms));
        if (fault.Mode == SectionFaultMode.Removed)
            return;
        // An open LS-TTL input floats up to a little above its threshold, and gives current while it is held low; that of a Darlington takes current, and floats low.
        if (logic.Floats == Level.High)
            input.Join(new(_threshold + 0.3, (_threshold + 0.3) / ((logic.LowCurrentMaximum?.Value ?? 0.2e-3) * 0.6), Flow.IntoNet));
        else if (logic.HighCurrentMaximum is { } taken)
            input.Join(new(0, high / taken.Value));
    }

    protected override double OnDelay => _type.OnDelay.Typical.Picoseconds;

    protected override double OffDelay => _type.OffDelay.Typical.Picoseconds;

    protected override Drive? WhenOn => new(Math.Min(_supply, _saturated), SaturatedOhms);

    protected override Drive? WhenOff => null;

    protected override Drive Balance => new(_supply / 2, SaturatedOhms);

    protected override bool DeadStaysIdle => false;

    protected override Drive? StuckAt(bool high) => new(high ? _supply : 0, StuckOhms);

    /// <summary>When it should take its output low, it gets half-way.</summary>
    protected override Drive WeakDrive(bool on) => new(_supply * (on ? 0.6 : 0.4), SaturatedOhms);

    /// <summary>An input that nothing drives reads low, where it does not float high.</summary>
    protected override bool Asked(bool last) => (Input.Volts ?? 0) > _threshold == _type.Inverting;
}
