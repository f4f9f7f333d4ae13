using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>
/// The board as its profile describes it, built from parts, and the leads to it. It knows what parts do, not what anybody expects of them.
/// </summary>
internal sealed class SimulatedBoard
{
    private const double SupplyOhms = 0.05, PullOhms = 4_700, HeldOhms = 100, ShortedOhms = 1;

    /// <summary>What the adapter's pins at the socket's emitter leak into it together (common practice: some nanoamperes each at room temperature).</summary>
    private const double PinSupply = 5, PinLeakage = 10e-9;

    /// <summary>A contact that no part of the profile describes closes and stays.</summary>
    private static readonly (int Bounces, Duration Settles) _noBounce = (0, Duration.Zero);

    private readonly Board _board;
    private readonly FaultPlan _faults;
    private readonly Variation _variation;
    private readonly bool _motorSupplyOn;
    private readonly Dictionary<string, Net> _nets = [];
    private readonly Dictionary<Supply, double> _supplies = [];
    private readonly Dictionary<string, Section> _sections = [];
    private readonly Dictionary<string, Contact> _contacts = [];
    private readonly HashSet<Channel> _moved = [];
    private readonly HashSet<string> _shorted = [];
    private readonly Dictionary<string, SenseLead> _senses = [];
    private readonly Dictionary<string, LineLead> _lines = [];
    private readonly List<SimulatedLoad> _loads = [];

    public SimulatedBoard(Board board, FaultPlan faults, Variation variation, bool motorSupplyOn)
    {
        (_board, _faults, _variation, _motorSupplyOn) = (board, faults, variation, motorSupplyOn);
        NameNets();
        foreach (var supply in board.Supplies)
            Switch(supply);
        foreach (var line in board.Lines.Union(board.Channels.Select(channel => channel.Line)))
            Hold(line);
        foreach (var part in board.Parts.OfType<BufferPart>())
            Tie(part);
        foreach (var channel in board.Channels)
            Fit(channel);
        foreach (var channel in board.Channels)
            ShortInputs(channel);
        foreach (var channel in board.Channels)
            FitStrikers(channel);
        foreach (var stop in board.Stops)
            ContactAt(stop.Point).Place(closed: stop.StopsAt == Level.High);
        FitLoads();
        PullUpTheRest();
        // In path order, so that each starts with what the one in front of it gives.
        foreach (var section in _sections.Values)
            section.Connect();
        foreach (var axis in board.Channels.Select(AxisOf).OfType<Axis>())
            axis.Look();
        FitLeads();
        Time.RunUntil(Time.Now + Duration.FromMilliseconds(500).Picoseconds);
        foreach (var section in _sections.Values)
            section.PutIntoService();
        foreach (var sense in _senses.Values)
            sense.SettleAtOnce();
        Time.RunUntil(Time.Now + Duration.FromMilliseconds(500).Picoseconds);
    }

    public EventQueue Time { get; } = new();

    /// <summary>Leads from pins that look only.</summary>
    public IReadOnlyDictionary<string, SenseLead> Senses => _senses;

    /// <summary>Leads from pins that drive a line.</summary>
    public IReadOnlyDictionary<string, LineLead> Lines => _lines;

    /// <summary>Told at each change of a pin's level.</summary>
    public Action<string, Level>? PinChanged { get; set; }

    public void Drive(string pin, Level? level)
    {
        Disturb();
        _lines[pin].Set(level);
    }

    /// <summary>Puts every multiplexer at the address that these select pins give it; all its other select pins are low.</summary>
    public void Select(IReadOnlyCollection<string> high)
    {
        foreach (var multiplexer in _board.Multiplexers)
        {
            var address = multiplexer.SelectPins.Select((pin, bit) => high.Contains(pin) ? 1 << bit : 0).Sum();
            _senses[multiplexer.CommonPin].Choose(_faults.AddressAt(multiplexer, address));
        }
    }

    /// <summary>The socket's loads at these pins are in the circuit, and no others.</summary>
    public void TakeLoads(IReadOnlyCollection<string> low)
    {
        foreach (var load in _loads)
            load.Set(low.Contains(load.Pin));
    }

    /// <summary>Gives every net its name or names: a bridge and the wire from an output to the next input are the same to a net.</summary>
    private void NameNets()
    {
        foreach (var (first, second) in _faults.Bridges)
            Join(first, second);
        foreach (var part in _board.Parts.OfType<BufferPart>())
        {
            foreach (var tied in part.Tied.Where(tied => tied.Point is not null))
                Join(tied.Point!.Name, $"{part.Name}.{tied.Pin}");
        }
        if (_board.Socket is { } socket)
            Join(socket.Channel.DrivenAt.Name, socket.Cathode.Name);
        foreach (var channel in _board.Channels)
        {
            var before = channel.DrivenAt.Name;
            foreach (var stage in channel.Stages)
            {
                Join(before, StagePins.InputName(stage));
                before = stage.OutputName;
            }
        }
    }

    private void Join(string first, string second)
    {
        var (one, other) = (NetOf(first), NetOf(second));
        foreach (var name in _nets.Where(entry => entry.Value == other).Select(entry => entry.Key).ToList())
            _nets[name] = one;
    }

    private Net NetOf(string name)
    {
        if (!_nets.TryGetValue(name, out var net))
            _nets[name] = net = new();
        return net;
    }

    private void Switch(Supply supply)
    {
        var on = (!supply.Motion || _motorSupplyOn) && !_faults.SuppliesOff.Contains(supply.Name);
        // A supply that was set with a meter is well within its limits.
        var volts = on ? supply.Nominal.Value * Variation.Factor(_variation.For("supply " + supply.Name), supply.Tolerance / 4) : 0;
        _supplies[supply] = volts;
        if (supply.SensedAt is { } point)
            NetOf(point.Name).Join(new(volts, SupplyOhms));
    }

    /// <summary>What the profile says holds the line idle while nothing drives it: a resistor to a supply, or to ground.</summary>
    private void Hold(Line line)
    {
        var channel = _board.Channels.FirstOrDefault(candidate => candidate.Line == line);
        if (channel is null || line.IdlesBy is null)
            return;
        var volts = line.Idle == Level.Low ? 0 : line.Hold?.Supply is { } supply ? _supplies[supply] : SupplyAt(channel.DrivenAt);
        NetOf(channel.DrivenAt.Name).Join(new(volts, line.Hold?.Resistance.Value ?? PullOhms));
    }

    /// <summary>Pins that are wired to a supply, to ground, or to something that holds a test point at its level.</summary>
    private void Tie(BufferPart part)
    {
        foreach (var tied in part.Tied)
        {
            var volts = tied.Stays == Level.Low ? 0 : tied.Supply is { } supply ? _supplies[supply] : SupplyAt(tied.Point!);
            NetOf($"{part.Name}.{tied.Pin}").Join(new(volts, tied.Point is null ? SupplyOhms : HeldOhms));
        }
    }

    private BesideInput Beside(BufferPart part, Stage stage)
    {
        var section = StagePins.SectionOf(stage)!;
        return new(
            part.Tied.Any(tied => tied.Pin == section.Enable) ? NetOf($"{part.Name}.{section.Enable}") : null,
            [.. section.OtherInputs.Select(pin => NetOf($"{part.Name}.{pin}"))], section.PassesAt);
    }

    private void Fit(Channel channel)
    {
        for (var index = 0; index < channel.Stages.Length; index++)
        {
            var stage = channel.Stages[index];
            // A transistor at a lead pulls a net that a part of the board drives, too.
            var key = stage.Part is PullTransistor ? stage.Part.Name : stage.OutputName;
            if (_sections.ContainsKey(key))
                continue;
            var (input, output) = (NetOf(StagePins.InputName(stage)), NetOf(stage.OutputName));
            var (fault, random) = (FaultOf(channel, index), _variation.For(key));
            _sections[key] = stage.Part switch
            {
                BufferPart part => new BufferSectionModel(Time, part, _supplies[part.Supply], input, output, fault, random, Beside(part, stage)),
                IsolatorPart part when part.Name == _board.Socket?.Part.Name => InSocket(_board.Socket, part, input, output, fault),
                IsolatorPart part => new IsolatorSectionModel(Time, part, _supplies[part.LedSupply], _supplies[part.OutputSupply], input, output, fault, random),
                RelayPart part => new RelayCoilModel(Time, part, input, ArmatureOf(part, output), fault, random),
                DriverPart { DriverType.Input: { } logic } part => new SwitchSectionModel(Time, part, logic, _supplies[part.Supply], input, output, fault, random),
                DriverPart part => new DriverSectionModel(Time, part, _supplies[part.Supply], input, output, fault, random),
                PullTransistor part => new PullTransistorModel(Time, part, input, output, random),
                _ => throw new NotSupportedException($"{stage.Part.Name}, a {stage.Part.GetType().Name}, cannot be simulated."),
            };
        }
    }

    /// <summary>Resistors of the socket are within their tolerance; each part has figures of its own.</summary>
    private SocketSectionModel InSocket(Socket socket, IsolatorPart part, Net input, Net output, SectionFault fault)
    {
        var built = part with { LedResistor = new(Resistor(socket, "led", part.LedResistor)) };
        return new(
            Time, built, _supplies[part.LedSupply], _supplies[part.OutputSupply], input, NetOf(socket.Anode.Name), output, fault, _faults.InSocket,
            _variation.For(string.Create(CultureInfo.InvariantCulture, $"{part.Name} {_faults.InSocket.Number}")));
    }

    private double Resistor(Socket socket, string name, Ohms nominal) => nominal.Value * Variation.Factor(_variation.For("socket " + name), socket.Tolerance);

    private void FitLoads()
    {
        if (_board.Socket is not { } socket)
            return;
        var emitter = NetOf(socket.Emitter.Name);
        emitter.Join(new(0, Resistor(socket, "bleeder", socket.Bleeder)));
        emitter.Join(new(PinSupply, PinSupply / (PinLeakage * Variation.Factor(_variation.For("socket pins"), 0.8)), Flow.IntoNet));
        _loads.Add(new(socket.Ratio, Resistor(socket, "ratio load", socket.Ratio.Resistance), emitter, NetOf(socket.RatioLow.Name)));
        _loads.Add(new(socket.Delay, Resistor(socket, "delay load", socket.Delay.Resistance), emitter, null));
    }

    /// <summary>What is broken of a stage, or what the loss of its supply makes of it, which is more.</summary>
    private SectionFault FaultOf(Channel channel, int index) => channel.Stages[index].Part switch
    {
        var part when _faults.Removed.Contains(part.Name) => new(SectionFaultMode.Removed, 0),
        BufferPart part when IsOff(part.Supply) => new(SectionFaultMode.NoSupply, 0),
        DriverPart { LogicSupply: { } supply } when IsOff(supply) => new(SectionFaultMode.Dead, 0),
        IsolatorPart part when IsOff(part.OutputSupply) => new(SectionFaultMode.Dead, 0),
        RelayPart when CoilSupply(channel, index) is { } supply && IsOff(supply) => new(SectionFaultMode.Dead, 0),
        PullTransistor => SectionFault.None,
        _ => _faults.OfSection(channel.Stages[index].OutputName),
    };

    private bool IsOff(Supply supply) => _supplies[supply] == 0;

    /// <summary>The driver in front sinks the coil's current, from the supply of its load.</summary>
    private static Supply? CoilSupply(Channel channel, int index) => index > 0 && channel.Stages[index - 1].Part is DriverPart driver ? driver.Supply : null;

    /// <summary>An input that is shorted inside its part holds the net that it hangs on.</summary>
    private void ShortInputs(Channel channel)
    {
        for (var index = 0; index < channel.Stages.Length; index++)
        {
            var (part, input) = (channel.Stages[index].Part, StagePins.InputName(channel.Stages[index]));
            if (!_faults.HeldInputs.TryGetValue(input, out var level) || _faults.Removed.Contains(part.Name) || !_shorted.Add(input))
                continue;
            var supply = part switch
            {
                BufferPart buffer => buffer.Supply,
                IsolatorPart isolator => isolator.LedSupply,
                DriverPart driver => driver.LogicSupply ?? driver.Supply,
                PullTransistor pull => pull.Supply,
                _ => CoilSupply(channel, index),
            };
            var volts = supply is { } known ? _supplies[known] : ((RelayPart)part).RelayType.CoilNominal.Value;
            NetOf(input).Join(new(level == Level.High ? volts : 0, ShortedOhms));
        }
    }

    /// <summary>What the coil of a relay moves: a net of its own, in the way of a mechanical link, whose contact follows it.</summary>
    private Net ArmatureOf(RelayPart part, Net contactNet)
    {
        contactNet.Join(new(_supplies[part.ContactSupply], part.PullUp?.Value ?? PullOhms));
        var (armature, bounce) = (new Net(), part.RelayType.Bounce);
        var contact = new Contact(Time, contactNet, bounce.Most, bounce.Within, _faults.OfContact(part.Name), Variation.OfEvents(_variation.For(part.Name + " contact")), Disturb);
        armature.Listen(() => contact.Move(closed: RelayCoilModel.IsPulledIn(armature)));
        return armature;
    }

    /// <summary>The contact at a test point, to ground, with its pull-up; the same one whoever asks.</summary>
    private Contact ContactAt(TestPoint point)
    {
        if (_contacts.TryGetValue(point.Name, out var known))
            return known;
        var net = NetOf(point.Name);
        net.Join(new(SupplyAt(point), PullOhms));
        var (bounces, settles) = _board.Parts.OfType<SwitchPart>().FirstOrDefault(part => part.Name == point.Name) is { SwitchType: var type }
            ? (type.BouncesMaximum, type.SettlesWithin)
            : _noBounce;
        return _contacts[point.Name] = new(Time, net, bounces, settles, _faults.OfContact(point.Name), Variation.OfEvents(_variation.For(point.Name)), Disturb);
    }

    /// <summary>Where a channel's pulses come from a contact, what moves is a hammer that strikes it.</summary>
    private void FitStrikers(Channel channel)
    {
        foreach (var struck in channel.Feedback.OfType<PulseFeedback>().Where(IsStruck))
        {
            var random = _variation.For("striker " + struck.Point.Name);
            var striker = new Striker(
                Time, ContactAt(struck.Point), Contactor(channel), _motorSupplyOn, (long)(struck.Within.Picoseconds * (0.25 + (0.1 * random.NextDouble()))), Variation.OfEvents(random));
            NetOf(channel.Stages[^1].OutputName).Listen(striker.Look);
        }
    }

    private bool IsStruck(Feedback feedback) => feedback is PulseFeedback && _board.Parts.OfType<SwitchPart>().Any(part => part.Name == feedback.Point.Name);

    /// <summary>
    /// The axis of a channel and the one that undoes it, made once for the pair; null for the second of them, and where nothing tells of motion.
    /// </summary>
    private Axis? AxisOf(Channel channel)
    {
        if (!channel.Line.Motion || !_moved.Add(channel))
            return null;
        var back = _board.Channels.FirstOrDefault(other => other.Name == channel.UndoneBy && _moved.Add(other));
        var turned = new[] { channel, back }.OfType<Channel>()
            .SelectMany(of => of.Feedback.Select(item => (Item: item, Of: of)))
            .Where(entry => !IsStruck(entry.Item))
            .ToList();
        if (turned.Count == 0)
            return null;
        var axis = new Axis(Time, Contactor(channel), back is null ? () => false : Contactor(back), _motorSupplyOn, _variation.For("axis " + channel.Name));
        foreach (var last in new[] { channel, back }.OfType<Channel>())
            NetOf(last.Stages[^1].OutputName).Listen(axis.Look);

        foreach (var at in turned.GroupBy(entry => entry.Item.Point.Name))
        {
            var (item, owner) = at.First();
            if (item is PulseFeedback)
            {
                NetOf(at.Key).Join(new(SupplyAt(item.Point), PullOhms));
                var rates = at.Select(entry => (Rate: Rate((PulseFeedback)entry.Item), Forward: entry.Of == channel)).ToList();
                double RateOf(bool ahead) => rates.Where(rate => rate.Forward == ahead).Select(rate => rate.Rate).DefaultIfEmpty(rates[0].Rate).First();
                if (!_faults.DeadPickUps.Contains(at.Key))
                    axis.Add(new Encoder(NetOf(at.Key), RateOf(true), RateOf(false), _variation.For(at.Key)));
            }
            else
            {
                // From where the machine is parked, the switch lies in the middle of the exercise's way.
                var way = owner.MotionOn.ToSeconds();
                var (near, far) = (0.5 * way, 0.75 * way);
                axis.Add(owner == channel ? new Cam(ContactAt(item.Point), near, far) : new Cam(ContactAt(item.Point), -far, -near));
            }
        }
        return axis;
    }

    /// <summary>Pulses for each second of travel that come to the middle of what the profile says, the time to get up to speed counted in.</summary>
    private static double Rate(PulseFeedback pulses)
    {
        var within = pulses.Within.ToSeconds();
        return (pulses.PulsesMinimum + pulses.PulsesMaximum) / 2.0 / Math.Max(within - (Axis.SpinUpSeconds / 2), within / 2);
    }

    /// <summary>A contactor pulls in with most of its voltage across its coil, and not with half of it.</summary>
    private Func<bool> Contactor(Channel channel)
    {
        if (_faults.DeadMotors.Contains(channel.Name))
            return () => false;
        var last = channel.Stages.Length - 1;
        var net = NetOf(channel.Stages[last].OutputName);
        var part = channel.Stages[last].Part;
        var supply = _supplies[part.SupplyOfOutput ?? throw new NotSupportedException($"{part.Name} cannot be simulated.")];
        if (supply == 0)
            return () => false;
        return channel.LevelAfter(last, channel.Line.Active) == Level.High ? () => net.Volts > 0.6 * supply : () => net.Volts < 0.4 * supply;
    }

    /// <summary>Other points are pulled up, and nothing else is known of them.</summary>
    private void PullUpTheRest()
    {
        var fitted = _board.Channels.SelectMany(channel => channel.Stages.SelectMany(stage => new[] { StagePins.InputName(stage), stage.OutputName }).Append(channel.DrivenAt.Name))
            .Concat(_board.Channels.Where(channel => channel.Line.Motion).SelectMany(channel => channel.Feedback).Select(feedback => feedback.Point.Name))
            .Concat(_board.Supplies.Select(supply => supply.SensedAt?.Name).OfType<string>())
            .Concat(_contacts.Keys)
            .Concat(_board.Socket?.Taps.Select(tap => tap.Name) ?? [])
            .ToHashSet();
        foreach (var point in _board.TestPoints.Where(point => !fitted.Contains(point.Name)))
        {
            if (_board.Parts.OfType<SwitchPart>().Any(part => part.Name == point.Name))
                _ = ContactAt(point);
            else
                NetOf(point.Name).Join(new(SupplyAt(point), PullOhms));
        }
    }

    /// <summary>What a point is pulled up to: the supply whose highest voltage is the point's.</summary>
    private double SupplyAt(TestPoint point) =>
        _board.Supplies.FirstOrDefault(supply => supply.Maximum == point.Highest) is { } supply ? _supplies[supply] : point.Highest?.Value ?? 5;

    private void FitLeads()
    {
        foreach (var line in _board.Lines)
        {
            var point = _board.Channels.FirstOrDefault(channel => channel.Line == line)?.DrivenAt;
            _lines[line.AdapterPin] = new(
                line.AdapterPin, point is null ? new() : NetOf(_faults.NetAtLeadOf(point)), LeadOhms(line), point is null || _faults.IsOpen(point) || _faults.OpenLines.Contains(line.Name),
                _faults.DeadLines.Contains(line.Name) ? line.Idle : null,
                lead => PinChanged?.Invoke(lead.Pin, lead.Level),
                _board.Socket is { } socket && socket.Channel.Line == line ? NetOf(socket.Sink.Name) : null);
        }
        foreach (var point in _board.TestPoints.Where(point => point is { AdapterPin: { } pin, Through: null } && !_lines.ContainsKey(pin)))
            FitSense(point.AdapterPin!, "lead " + point.Name, [SourceAt(point, 0)]);
        foreach (var multiplexer in _board.Multiplexers)
        {
            var random = _variation.For(multiplexer.Name);
            var inputs = new LeadSource?[multiplexer.Type.InputCount];
            foreach (var point in _board.TestPoints.Where(point => point.Through?.Multiplexer == multiplexer))
                inputs[point.Through!.Address] = SourceAt(point, multiplexer.Type.OnResistanceMaximum.Value * (0.4 + (0.6 * random.NextDouble())));
            FitSense(multiplexer.CommonPin, multiplexer.Name, inputs);
            // Until its select pins are driven they float, and it stays anywhere.
            _senses[multiplexer.CommonPin].Choose(Variation.OfEvents(random).Next(inputs.Length));
        }
    }

    private double LeadOhms(Line line) => _board.Socket is { } socket && socket.Channel.Line == line ? Resistor(socket, "line", line.Series) : line.Series.Value;

    private LeadSource SourceAt(TestPoint point, double switchOhms) => new(NetOf(_faults.NetAtLeadOf(point)), point.Divider, _faults.IsOpen(point), switchOhms);

    private void FitSense(string pin, string name, IReadOnlyList<LeadSource?> sources) => _senses[pin] = new(
        Time, pin, sources, _variation.For(name), lead => PinChanged?.Invoke(lead.Pin, lead.Level));

    private void Disturb()
    {
        foreach (var section in _sections.Values)
            section.Disturb();
    }
}
