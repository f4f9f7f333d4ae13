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
    private readonly BesideInput _beside;

    public BufferSectionModel(EventQueue time, BufferPart part, double supply, Net input, Net output, SectionFault fault, Random random, BesideInput? beside = null)
        : base(time, input, output, fault, random)
    {
        (_type, _beside) = (part.BufferType, beside ?? BesideInput.None);
        _threshold = InLimits(0.4) * Variation.Factor(random, 0.03);
        _low = _type.OutputLowMaximum.Value * 0.6 * Variation.Factor(random, 0.1);
        // Sheets give the worst case under load; a typical output stands some 1 V higher (3.4 V for 2.4 V, 74LS).
        _high = Math.Min(supply, _type.OutputHighMinimum.Value + (0.4 * (supply - _type.OutputHighMinimum.Value))) * Variation.Factor(random, 0.02);
        // An open LS-TTL input floats up to a little above its threshold, and gives current while it is held low.
        if (_type.FloatingInput == Level.High && supply > 0 && fault.Mode != SectionFaultMode.Removed)
        {
            var floats = _threshold + 0.3;
            var current = (_type.InputLowCurrentMaximum?.Value ?? 0.2e-3) * 0.6;
            input.Join(new(floats, floats / current, Flow.IntoNet));
        }
    }

    protected override double OnDelay => _type.RiseDelay.Typical.Picoseconds;

    protected override double OffDelay => _type.FallDelay.Typical.Picoseconds;

    protected override Drive? WhenOn => Enabled ? High : null;

    protected override Drive? WhenOff => Enabled ? Low : null;

    protected override Drive Balance => new(_threshold, WeakOhms);

    protected override bool DeadStaysIdle => true;

    protected override Drive? StuckAt(bool high) => high ? High : Low;

    protected override Drive WeakDrive(bool on) => new(InLimits(on ? 0.6 : 0.25), WeakOhms);

    private Drive High => new(_high, HighOhms, Flow.IntoNet);

    private Drive Low => new(_low, LowOhms);

    /// <summary>An enable left open reads as any LS-TTL input does.</summary>
    private bool Enabled => _beside.Enable is not { } enable || IsHigh(enable) == (BufferSection.EnabledAt == Level.High);

    public override void Connect()
    {
        base.Connect();
        _beside.Enable?.Listen(DriveAnew);
        foreach (var net in _beside.Others)
            net.Listen(Look);
    }

    /// <summary>
    /// A floating input without known habits keeps what it read last. Where another input of the gate closes it, the output is what it would be with every input at that level.
    /// </summary>
    protected override bool Asked(bool last)
    {
        var opens = _beside.PassesAt == Level.High;
        if (_beside.Others.Any(net => IsHigh(net) != opens))
            return !opens != _type.Inverting;
        return Input.Volts is { } volts ? volts > _threshold != _type.Inverting : last;
    }

    private bool IsHigh(Net net) => net.Volts is { } volts ? volts > _threshold : _type.FloatingInput == Level.High;

    /// <summary>A voltage in the undefined region of the inputs: 0 at its lower end, 1 at its upper.</summary>
    private double InLimits(double share)
    {
        var limits = _type.InputLimits;
        return limits.LowMaximum.Value + (share * (limits.HighMinimum.Value - limits.LowMaximum.Value));
    }
}
