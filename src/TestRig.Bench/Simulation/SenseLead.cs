using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>
/// A lead from a net to an adapter pin, with its resistor or divider and the capacitance at the pin, and the digital input there. All values are those
/// of an ordinary 5 V microcontroller (values from memory) and of ordinary leads (common practice).
/// </summary>
internal sealed class SenseLead
{
    private const double AdapterSupply = 5, SeriesOhms = 1_000, PullUpOhms = 35_000, LeakOhms = 30e6;
    private const double DirectFarads = 60e-12, DividedFarads = 20e-12;

    private readonly EventQueue _time;
    private readonly Net _net;
    private readonly Divider? _divider;
    private readonly bool _open;
    private readonly double _rises;
    private readonly double _falls;
    private readonly Action<SenseLead> _changed;
    private double _from;
    private double _towards;
    private long _since;
    private double _timeConstant = 1;
    private int _plan;

    /// <param name="changed">Told at each change of the digital input.</param>
    public SenseLead(EventQueue time, string pin, Net net, Divider? divider, bool open, Random random, Action<SenseLead> changed)
    {
        (_time, Pin, _net, _divider, _open, _changed) = (time, pin, net, divider, open, changed);
        _rises = 2.6 * Variation.Factor(random, 0.02);
        _falls = 2.4 * Variation.Factor(random, 0.02);
        if (divider is not null && !open)
            net.Join(new(0, divider.Upper.Value + divider.Lower.Value));
        net.Listen(Follow);
    }

    public string Pin { get; }

    public Level Level { get; private set; }

    /// <summary>The voltage at the pin now.</summary>
    public double Volts => _towards + ((_from - _towards) * Math.Exp(-(_time.Now - _since) / _timeConstant));

    /// <summary>The pin takes its settled voltage at once: the bench has been on for a while.</summary>
    public void SettleAtOnce()
    {
        _from = Resting(null) ?? 0;
        Follow();
    }

    /// <summary>
    /// Discharged for a moment and released; then again with the pull-up. The moment moves nothing that is driven: that is what the lead's resistor is
    /// for.
    /// </summary>
    public (Level AfterDischarge, Level AfterPullUp) Check()
    {
        var pulled = Resting(AdapterSupply) ?? AdapterSupply;
        var readings = (Resting(null) > _rises ? Level.High : Level.Low, pulled > _rises ? Level.High : Level.Low);
        if (Resting(null) is null)
        {
            // What is left of the pull-up's charge leaks away.
            _from = AdapterSupply;
            _since = _time.Now;
            Follow();
        }
        return readings;
    }

    /// <summary>What the pin's voltage comes to rest at; null for a pin that nothing holds.</summary>
    /// <param name="pullUp">The voltage behind the pin's pull-up; null while that is off.</param>
    private double? Resting(double? pullUp)
    {
        if (_open)
            return _divider is null ? pullUp : (pullUp ?? 0) * _divider.Lower.Value / (_divider.Lower.Value + PullUpOhms);
        var (ratio, ohms) = _divider is null ? (1, SeriesOhms) : (_divider.Ratio, SourceOhms(_divider));
        if (pullUp is not { } volts)
            return _net.Volts * ratio;
        // A pull-up through a divider does not move the net.
        var net = _divider is null ? _net.VoltsWith(new(volts, PullUpOhms + ohms, Flow.IntoNet)) : _net.Volts;
        return net is { } held ? (held * ratio) + ((volts - (held * ratio)) * ohms / (ohms + PullUpOhms)) : volts;
    }

    private static double SourceOhms(Divider divider) => divider.Upper.Value * divider.Lower.Value / (divider.Upper.Value + divider.Lower.Value);

    private void Follow()
    {
        (_from, _since) = (Volts, _time.Now);
        var resting = Resting(null);
        _towards = resting ?? 0;
        var ohms = resting is null ? LeakOhms : _divider is null ? SeriesOhms : _open ? _divider.Lower.Value : SourceOhms(_divider);
        _timeConstant = ohms * (_divider is null ? DirectFarads : DividedFarads) * 1e12;
        var plan = ++_plan;
        var threshold = Level == Level.Low ? _rises : _falls;
        var crosses = Level == Level.Low ? _towards > threshold : _towards < threshold;
        if (!crosses)
            return;
        var passed = Level == Level.Low ? _from >= threshold : _from <= threshold;
        var delay = passed ? 0 : _timeConstant * Math.Log((_from - _towards) / (threshold - _towards));
        _time.In((long)Math.Ceiling(delay), () =>
        {
            if (plan == _plan)
                Turn();
        });
    }

    private void Turn()
    {
        Level = Level.Inverted();
        _changed(this);
    }
}
