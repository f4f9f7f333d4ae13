using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>An isolator with its LED resistor and its load. The stage in front sinks the LED current.</summary>
internal class IsolatorSectionModel : Section
{
    protected const double SaturatedOhms = 20;

    private const double StuckOhms = 10, WeakOhms = 100;

    /// <summary>A typical part transfers this much more than the sheet's minimum (4N25: 70 % typical, 20 % minimum).</summary>
    private const double TypicalOverMinimum = 3.5;

    private readonly IsolatorPart _part;
    private readonly double _supply;

    /// <summary>What the transistor could carry over what the load takes, when it was lit last; above 0.5.</summary>
    private double _overdrive = 1;

    /// <param name="withLoad">False where its load is not its own.</param>
    public IsolatorSectionModel(
        EventQueue time, IsolatorPart part, double ledSupply, double outputSupply, Net cathode, Net output, SectionFault fault, Random random, bool withLoad = true)
        : base(time, cathode, output, fault, random)
    {
        _part = part;
        _supply = outputSupply;
        Saturation = (part.IsolatorType.SaturationTypical?.Value ?? (part.IsolatorType.SaturationMaximum.Value * 0.3)) * Variation.Factor(random, 0.3);
        TransferRatio = (part.IsolatorType.TransferRatioTypical ?? (part.IsolatorType.TransferRatioMinimum * TypicalOverMinimum)) * Variation.Factor(random, 0.3);
        Led = cathode.Join(fault.Mode == SectionFaultMode.Removed ? null : new(ledSupply - part.IsolatorType.LedForwardTypical.Value, part.LedResistor.Value, Flow.IntoNet));
        if (withLoad)
            output.Join(new(part.TakenAtCollector ? outputSupply : 0, part.Load.Value));
    }

    /// <summary>Of this very part, in volts.</summary>
    protected double Saturation { get; }

    /// <summary>Of this very part, as a fraction.</summary>
    protected double TransferRatio { get; }

    protected Branch Led { get; }

    /// <summary>The collector runs towards what the transistor could carry, and is half-way the sooner the more that is.</summary>
    protected override double OnDelay => _part.IsolatorType.OnDelay.Typical.Picoseconds + (TimeConstant * Math.Log(_overdrive / (_overdrive - 0.5)));

    /// <summary>First the charge beyond saturation goes, then the load lets the output go.</summary>
    protected override double OffDelay => _part.IsolatorType.OffDelay.Typical.Picoseconds
        + (_part.IsolatorType.StorageConstant.Picoseconds * Math.Log(Math.Max(_overdrive, 1))) + (TimeConstant * Math.Log(Math.Min(_overdrive, 1) / 0.5));

    protected override Drive? WhenOn => new(_part.TakenAtCollector ? Saturation : _supply - Saturation, SaturatedOhms);

    protected override Drive? WhenOff => null;

    protected override Drive Balance => new(_supply / 2, WeakOhms);

    protected override bool DeadStaysIdle => false;

    protected override Drive? StuckAt(bool high) => new(high ? _supply : Saturation, StuckOhms);

    /// <summary>Just over the lower third while commanded low, just under the upper while commanded high.</summary>
    protected override Drive WeakDrive(bool on) => new(_supply * (on == _part.TakenAtCollector ? 0.4 : 0.6), WeakOhms);

    /// <summary>The load wants some current for half a swing; what the LED gets, times the transfer ratio, is there for it.</summary>
    protected override bool Asked(bool last)
    {
        var overdrive = Led.Current * TransferRatio / (_supply / _part.Load.Value);
        if (overdrive <= 0.5)
            return false;
        _overdrive = overdrive;
        return true;
    }

    /// <summary>Picoseconds: the load, and the collector's capacitance, which the gain makes larger.</summary>
    private double TimeConstant => _part.Load.Value * (_part.IsolatorType.CurrentGain + 1) * _part.IsolatorType.CollectorBaseCapacitance.Value * 1e12;
}
