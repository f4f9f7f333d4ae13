using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>One buffer of a package, LS-TTL in its details (common practice): its low sinks firmly, its high sources weakly, so a low wins.</summary>
internal sealed class BufferSectionModel : Section
{
    private const double LowOhms = 6, HighOhms = 110, WeakOhms = 20;

    private readonly BufferType _type;
    private readonly double _threshold;
    private readonly double _low;
    private readonly double _high;

    public BufferSectionModel(EventQueue time, BufferPart part, double supply, Net input, Net output, SectionFault fault, Random random)
        : base(time, input, output, fault, random)
    {
        _type = part.BufferType;
        _threshold = InLimits(0.4) * Variation.Factor(random, 0.03);
        _low = _type.OutputLowMaximum.Value * 0.6 * Variation.Factor(random, 0.1);
        // Sheets give the worst case under load; a typical output stands some 1 V higher (3.4 V for 2.4 V, 74LS).
        _high = Math.Min(supply, _type.OutputHighMinimum.Value + (0.4 * (supply - _type.OutputHighMinimum.Value))) * Variation.Factor(random, 0.02);
        // An open LS-TTL input floats up to a little above its threshold, and gives current while it is held low.
        if (_type.FloatingInput == Level.High)
        {
            var floats = _threshold + 0.3;
            var current = (_type.InputLowCurrentMaximum?.Value ?? 0.2e-3) * 0.6;
            input.Join(new(floats, floats / current, Flow.IntoNet));
        }
    }

    protected override double OnDelay => _type.RiseDelay.Typical.Picoseconds;

    protected override double OffDelay => _type.FallDelay.Typical.Picoseconds;

    protected override Drive? WhenOn => new(_high, HighOhms, Flow.IntoNet);

    protected override Drive? WhenOff => new(_low, LowOhms);

    protected override Drive Balance => new(_threshold, WeakOhms);

    protected override bool DeadStaysIdle => true;

    protected override Drive? StuckAt(bool high) => high ? WhenOn : WhenOff;

    protected override Drive WeakDrive(bool on) => new(InLimits(on ? 0.6 : 0.25), WeakOhms);

    /// <summary>A floating input without known habits keeps what it read last.</summary>
    protected override bool Asked(bool last) => Input.Volts is { } volts ? volts > _threshold != _type.Inverting : last;

    /// <summary>A voltage in the undefined region of the inputs: 0 at its lower end, 1 at its upper.</summary>
    private double InLimits(double share)
    {
        var limits = _type.InputLimits;
        return limits.LowMaximum.Value + (share * (limits.HighMinimum.Value - limits.LowMaximum.Value));
    }
}
