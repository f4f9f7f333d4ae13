using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>A transistor at a lead, with the resistor between it and the net that it pulls low (values of a small logic-level N-MOSFET: common practice). It is good: it is no part of the board.</summary>
internal sealed class PullTransistorModel(EventQueue time, PullTransistor part, Net gate, Net output, Random random)
    : Section(time, gate, output, SectionFault.None, random)
{
    private const double Threshold = 1.6, OnVolts = 0.05, OnOhms = 2;

    protected override double OnDelay => 200e3;

    protected override double OffDelay => 500e3;

    protected override Drive? WhenOn => new(OnVolts, OnOhms + part.Series.Value);

    protected override Drive? WhenOff => null;

    protected override Drive Balance => new(Threshold, OnOhms + part.Series.Value);

    protected override bool DeadStaysIdle => false;

    protected override Drive? StuckAt(bool high) => high ? WhenOff : WhenOn;

    protected override Drive WeakDrive(bool on) => Balance;

    protected override bool Asked(bool last) => Input.Volts is { } volts && volts > Threshold;
}
