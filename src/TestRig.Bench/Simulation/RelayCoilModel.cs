using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>
/// The coil and the armature of a relay. Its output is no voltage of the board but the place of the armature: 1 pulled in, 0 released.
/// </summary>
internal sealed class RelayCoilModel(EventQueue time, RelayPart part, Net input, Net armature, SectionFault fault, Random random)
    : Section(time, input, armature, fault, random)
{
    private const double LinkOhms = 1;

    private static readonly Drive _pulledIn = new(1, LinkOhms), _released = new(0, LinkOhms);

    public static bool IsPulledIn(Net armature) => armature.Volts > 0.5;

    protected override double OnDelay => part.RelayType.OperateDelay.Typical.Picoseconds;

    protected override double OffDelay => part.RelayType.ReleaseDelay.Typical.Picoseconds;

    protected override Drive? WhenOn => _pulledIn;

    protected override Drive? WhenOff => _released;

    protected override Drive Balance => _released;

    protected override bool DeadStaysIdle => false;

    /// <summary>A contact that is always closed holds its net low.</summary>
    protected override Drive? StuckAt(bool high) => high ? _released : _pulledIn;

    /// <summary>A relay is never weak in this way; <see cref="FaultPlan"/> does not offer it.</summary>
    protected override Drive WeakDrive(bool on) => on ? _pulledIn : _released;

    /// <summary>Pulls in with less than 0.3 of the coil's voltage left at its driven end: 0.7 across it and more (common practice).</summary>
    protected override bool Asked(bool last) => Input.Volts is { } volts && volts < 0.3 * part.RelayType.CoilNominal.Value;
}
