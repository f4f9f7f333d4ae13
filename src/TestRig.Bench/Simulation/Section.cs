namespace TestRig.Bench.Simulation;

/// <summary>
/// One section of a part: looks at the voltage of its input net, and some time later drives its output net. "On" means the output is high for a
/// buffer, and conducting for a transistor.
/// </summary>
/// <param name="random">Of this section alone.</param>
internal abstract class Section(EventQueue time, Net input, Net output, SectionFault fault, Random random)
{
    /// <summary>Parts of one type differ by this share in their delays, and one part from event to event by the other (common practice).</summary>
    private const double PartSpread = 0.05, EventSpread = 0.005;

    /// <summary>A loop that switches more often than this within that time (1 µs) is no square wave any more; nor is one that goes on and on (100 ms).</summary>
    private const int FastSwitches = 40, LastingSwitches = 400;
    private const long FastTime = 1_000_000, LastingTime = 100_000_000_000;

    private const double PicosecondsOfHour = 3600e12;

    private readonly double _part = Variation.Factor(random, PartSpread);
    private readonly Random _events = Variation.OfEvents(random);
    private Branch? _drive;
    private bool _on;
    private bool _wanted;
    private bool _idleOn;
    private bool _inService;
    private bool _balanced;
    private int _plan;
    private int _enablePlan;
    private int _switches;
    private long _countedFrom;
    private int _lasting;
    private long _lastingFrom;

    protected Net Input { get; } = input;

    /// <summary>Typical delays in picoseconds.</summary>
    protected abstract double OnDelay { get; }

    protected abstract double OffDelay { get; }

    protected abstract Drive? WhenOn { get; }

    protected abstract Drive? WhenOff { get; }

    /// <summary>The output at a firm level, though the input says otherwise.</summary>
    protected abstract Drive? StuckAt(bool high);

    /// <summary>What a weak section gives in its commanded state.</summary>
    protected abstract Drive WeakDrive(bool on);

    /// <summary>What a weak loop of outputs and inputs settles at: the threshold.</summary>
    protected abstract Drive Balance { get; }

    /// <summary>True when a section whose dead output keeps driving its idle level; false when it then drives nothing.</summary>
    protected abstract bool DeadStaysIdle { get; }

    /// <summary>What the input asks of the output now.</summary>
    protected abstract bool Asked(bool last);

    /// <summary>Takes up its place: switches without delay until all is settled.</summary>
    public virtual void Connect()
    {
        _wanted = Wants();
        _on = _wanted;
        _drive = output.Join(DriveNow());
        Input.Listen(Look);
    }

    /// <summary>From now on the present state is what it is like while nothing is commanded.</summary>
    public void PutIntoService()
    {
        _idleOn = _on;
        _inService = true;
        _drive!.Set(DriveNow());
    }

    /// <summary>A loop that had found its balance is pushed out of it.</summary>
    public void Disturb()
    {
        if (!_balanced)
            return;
        _balanced = false;
        (_switches, _countedFrom, _lasting, _lastingFrom) = (0, time.Now, 0, time.Now);
        _drive!.Set(DriveNow());
        Look();
    }

    private bool Wants()
    {
        var asked = Asked(_wanted);
        return fault.Mode switch
        {
            SectionFaultMode.Inverted => !asked,
            SectionFaultMode.Dead when DeadStaysIdle => _inService ? _idleOn : asked,
            SectionFaultMode.Dead => false,
            _ => asked,
        };
    }

    protected void Look()
    {
        var wants = Wants();
        if (wants == _wanted || _balanced)
            return;
        _wanted = wants;
        // A pulse shorter than the delay is swallowed.
        var plan = ++_plan;
        if (wants == _on)
            return;
        if (_inService && fault.Mode == SectionFaultMode.Intermittent && wants != _idleOn && Variation.Happens(_events, fault.Amount))
            return;
        var slow = fault.Mode switch
        {
            SectionFaultMode.Slow => fault.Amount,
            SectionFaultMode.Drifting => 1 + (fault.Amount * time.Now / PicosecondsOfHour),
            _ => 1,
        };
        var delay = (wants ? OnDelay : OffDelay) * _part * slow * Variation.Factor(_events, EventSpread);
        time.In((long)Math.Round(delay), () =>
        {
            if (plan == _plan)
                Switch(wants);
        });
    }

    /// <summary>
    /// What it drives has changed without a switch: its enable has. That takes about as long as a switch (common practice), and a bridge may make a loop of it.
    /// </summary>
    protected void DriveAnew()
    {
        var plan = ++_enablePlan;
        time.In((long)Math.Round(OnDelay * _part), () =>
        {
            if (plan != _enablePlan || _balanced)
                return;
            CountSwitch();
            _drive!.Set(DriveNow());
        });
    }

    private void Switch(bool on)
    {
        _on = on;
        CountSwitch();
        _drive!.Set(DriveNow());
    }

    /// <summary>An inverting loop of logic does not swing at full height for ever: it finds its balance at the threshold (common practice).</summary>
    private void CountSwitch()
    {
        if (time.Now - _countedFrom > FastTime)
            (_switches, _countedFrom) = (0, time.Now);
        if (time.Now - _lastingFrom > LastingTime)
            (_lasting, _lastingFrom) = (0, time.Now);
        _balanced = ++_switches > FastSwitches || ++_lasting > LastingSwitches;
    }

    private Drive? DriveNow() => fault.Mode switch
    {
        SectionFaultMode.Disabled or SectionFaultMode.Removed => null,
        _ when _balanced => Balance,
        SectionFaultMode.StuckLow => StuckAt(high: false),
        SectionFaultMode.StuckHigh => StuckAt(high: true),
        // The outputs of a package without supply leak to ground (common practice).
        SectionFaultMode.NoSupply => new(0, 10_000),
        SectionFaultMode.Weak when _inService && _on != _idleOn => WeakDrive(_on),
        _ => _on ? WhenOn : WhenOff,
    };
}
