using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>Where a lead comes from: a net, the divider in the lead, and whether the lead is open.</summary>
/// <param name="SwitchOhms">Of the multiplexer that the lead passes; 0 without one.</param>
internal sealed record LeadSource(Net Net, Divider? Divider, bool Open, double SwitchOhms);

/// <summary>
/// A lead from a net to an adapter pin, with its resistor or divider and the capacitance at the pin, and the digital input there. All values are those
/// of an ordinary 5 V microcontroller (values from memory) and of ordinary leads (common practice). Through a multiplexer it comes from one of several nets.
/// </summary>
internal sealed class SenseLead
{
    private const double AdapterSupply = 5, SeriesOhms = 1_000, OutputOhms = 25, PullUpOhms = 35_000, LeakOhms = 30e6;
    private const double DirectFarads = 60e-12, DividedFarads = 20e-12;

    private readonly EventQueue _time;
    private readonly IReadOnlyList<LeadSource?> _sources;
    private readonly double _rises;
    private readonly double _falls;
    private readonly Action<SenseLead> _changed;
    private readonly Dictionary<Net, Branch> _intoNets = [];
    private LeadSource? _source;
    private Drive? _pin;
    private double _from;
    private double _towards;
    private long _since;
    private double _timeConstant = 1;
    private int _plan;
    private double _capacitance = 1;

    /// <param name="sources">One, or one for each address of a multiplexer, null where nothing is connected. The first is chosen.</param>
    /// <param name="changed">Told at each change of the digital input.</param>
    public SenseLead(EventQueue time, string pin, IReadOnlyList<LeadSource?> sources, Random random, Action<SenseLead> changed)
    {
        (_time, Pin, _sources, _source, _changed) = (time, pin, sources, sources[0], changed);
        _rises = 2.6 * Variation.Factor(random, 0.02);
        _falls = 2.4 * Variation.Factor(random, 0.02);
        foreach (var source in sources.OfType<LeadSource>())
        {
            if (source is { Divider: { } divider, Open: false })
                source.Net.Join(new(0, divider.Upper.Value + divider.Lower.Value));
            else if (!source.Open && !_intoNets.ContainsKey(source.Net))
                _intoNets.Add(source.Net, source.Net.Join(null));
            source.Net.Listen(() =>
            {
                if (source == _source)
                    Follow();
            });
        }
    }

    public string Pin { get; }

    public Level Level { get; private set; }

    /// <summary>The voltage at the pin now.</summary>
    public double Volts => _towards + ((_from - _towards) * Math.Exp(-(_time.Now - _since) / _timeConstant));

    /// <summary>The probe of an instrument is here instead: what it adds to a delay is a thousandth of what a lead with its resistor does, and no matter.</summary>
    public void BecomeProbe() => _capacitance = 1e-3;

    /// <summary>The multiplexer in front of the pin goes to another input.</summary>
    public void Choose(int address)
    {
        _source = _sources[address];
        Follow();
    }

    /// <summary>The pin takes its settled voltage at once: the bench has been on for a while.</summary>
    public void SettleAtOnce()
    {
        _from = Resting() ?? 0;
        Follow();
    }

    /// <summary>The pin is an output at low. Through a direct lead it draws on the net, which gives way where nothing strong holds it.</summary>
    public void Discharge() => Drive(new(0, OutputOhms));

    /// <summary>The pin is an input with its pull-up on.</summary>
    public void PullUp() => Drive(new(AdapterSupply, PullUpOhms));

    /// <summary>The pin is an input and no more.</summary>
    public void Release() => Drive(null);

    private void Drive(Drive? pin)
    {
        _pin = pin;
        // Through a divider a pin does not move the net.
        if (_source is { Divider: null, Open: false } && _intoNets.TryGetValue(_source.Net, out var intoNet))
            intoNet.Set(pin is { } drive ? new(drive.Volts, drive.Ohms + SeriesOhms + _source.SwitchOhms) : null);
        Follow();
    }

    /// <summary>What the pin's voltage comes to rest at; null for a pin that nothing holds.</summary>
    private double? Resting()
    {
        if (_source is null or { Open: true, Divider: null })
            return _pin?.Volts;
        var (net, divider) = (_source.Net, _source.Divider);
        if (_source.Open)
            return _pin is { } alone ? alone.Volts * divider!.Lower.Value / (divider.Lower.Value + alone.Ohms) : 0;
        if (net.Volts * (divider?.Ratio ?? 1) is not { } from)
            return _pin?.Volts;
        var ohms = LeadOhms(_source);
        return _pin is { } pin ? from + ((pin.Volts - from) * ohms / (ohms + pin.Ohms)) : from;
    }

    /// <summary>What the pin sees of a lead that is whole.</summary>
    private static double LeadOhms(LeadSource source) => source.SwitchOhms + (source.Divider is { } divider ? SourceOhms(divider) : SeriesOhms);

    private static double SourceOhms(Divider divider) => divider.Upper.Value * divider.Lower.Value / (divider.Upper.Value + divider.Lower.Value);

    private void Follow()
    {
        (_from, _since) = (Volts, _time.Now);
        var resting = Resting();
        _towards = resting ?? 0;
        var ohms = _source is null or { Open: true, Divider: null } || resting is null ? LeakOhms : _source.Open ? _source.Divider!.Lower.Value : LeadOhms(_source);
        if (_pin is { } pin)
            ohms = ohms * pin.Ohms / (ohms + pin.Ohms);
        _timeConstant = ohms * (_source?.Divider is null ? DirectFarads : DividedFarads) * 1e12 * _capacitance;
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
