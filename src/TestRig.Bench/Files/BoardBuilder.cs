using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>
/// Makes the board of a profile's wire form: looks names up and checks what the parts of a profile say of each other. Each declared name is
/// kept even when its entry is broken, so that one mistake is reported once and not again at every place that refers to it.
/// </summary>
internal sealed partial class BoardBuilder
{
    private readonly ProfileDocument _document;
    private readonly PartLibrary _library;
    private readonly ErrorList _errors;
    private readonly PointVoltages _voltages;
    private readonly Dictionary<string, Multiplexer?> _multiplexers;
    private readonly Dictionary<string, TestPoint?> _points;
    private readonly Dictionary<string, Supply?> _supplies;
    private readonly Dictionary<string, Part?> _parts;
    private readonly Dictionary<string, Line?> _lines;
    private readonly Dictionary<string, Channel?> _channels;

    private BoardBuilder(ProfileDocument document, PartLibrary library, ErrorList errors)
    {
        _document = document;
        _library = library;
        _errors = errors;
        _voltages = new(document, library, errors);
        // In the order in which they need each other.
        _multiplexers = document.Multiplexers.ToDictionary(multiplexer => multiplexer.Name.Value, BuildMultiplexer);
        _points = document.TestPoints.ToDictionary(point => point.Name.Value, BuildTestPoint);
        _supplies = document.Supplies.ToDictionary(supply => supply.Name.Value, BuildSupply);
        _parts = document.Parts.ToDictionary(part => part.Name.Value, BuildPart);
        _lines = document.Lines.ToDictionary(line => line.Name.Value, BuildLine);
        _channels = document.Channels.ToDictionary(channel => channel.Name.Value, BuildChannel);
    }

    /// <summary>Null when there is any error, in the wire form or found here.</summary>
    public static Board? Build(ProfileDocument document, PartLibrary library, ErrorList errors)
    {
        var builder = new BoardBuilder(document, library, errors);
        var grounds = document.Grounds.Select(builder.BuildGround).ToArray();
        var keptApart = document.KeptApart.Select(builder.BuildKeptApart).ToArray();
        var stops = document.Stops.Select(builder.BuildStop).ToArray();
        var controller = builder.BuildController();
        builder.CheckAdapterPins();
        builder.CheckMultiplexers();
        builder.CheckSharedSections();
        // A pair with an unknown name has been reported; that its lines are then not kept apart says nothing new.
        if (keptApart.All(pair => pair is not null))
            builder.CheckUndoing();
        builder.CheckMotion();
        builder.CheckHeldLines();
        var socket = document.Socket is { } written ? builder.BuildSocket(written) : null;
        var recordings = builder.BuildRecordings();
        if (errors.Any)
            return null;
        return new(
            document.Name!.Value,
            [.. document.Supplies.Select(supply => builder._supplies[supply.Name.Value]!)],
            [.. document.Parts.Select(part => builder._parts[part.Name.Value]!)],
            [.. document.Lines.Select(line => builder._lines[line.Name.Value]!)],
            [.. document.TestPoints.Select(point => builder._points[point.Name.Value]!)],
            [.. keptApart.Select(pair => pair!.Value)],
            [.. stops.Select(stop => stop!)],
            [.. document.Channels.Select(channel => builder._channels[channel.Name.Value]!)],
            document.Cautions)
        {
            Grounds = [.. grounds.Select(ground => ground!)],
            Controller = controller,
            Multiplexers = [.. document.Multiplexers.Select(multiplexer => builder._multiplexers[multiplexer.Name.Value]!)],
            LinesOnTogether = document.LinesOnTogether?.Value,
            Socket = socket,
            Recordings = recordings,
        };
    }

    /// <summary>Looks a name up. Null when it is unknown (reported here) or declared but broken (reported where it is declared).</summary>
    private T? Find<T>(Written<string>? name, Dictionary<string, T?> table, string kind, string kinds)
        where T : class
    {
        if (name is null)
            return null;
        if (table.TryGetValue(name.Value, out var found))
            return found;
        _errors.Add(name, $"there is no {kind} '{name.Value}'", NearestName.Suggest(name.Value, table.Keys, kinds));
        return null;
    }

    private Supply? FindSupply(Written<string>? name) => Find(name, _supplies, "supply", "supplies");

    private TestPoint? FindPoint(Written<string>? name) => Find(name, _points, "test point", "test points");

    private Line? FindLine(Written<string>? name) => Find(name, _lines, "line", "lines");

    private TestPoint? BuildTestPoint(WrittenTestPoint point)
    {
        var ground = point.Ground is null ? null : _document.Grounds.FirstOrDefault(known => known.Name.Value == point.Ground.Value);
        if (point.Ground is not null && ground is null)
        {
            _errors.Add(
                point.Ground, $"there is no ground '{point.Ground.Value}'",
                NearestName.Suggest(point.Ground.Value, _document.Grounds.Select(known => known.Name.Value), "grounds"));
        }
        if (ground is { BridgedBecause: null } && point.Adapter is not null)
        {
            _errors.Add(
                point.Ground!, $"a lead from {point.Name.Value} to the adapter bridges the isolation of ground '{ground.Name.Value}'",
                $"remove the lead ('adapter'), or permit it in grounds.{ground.Name.Value} with 'bridged-because: …' and the reason why it does no harm");
        }
        var divider = point.Divider is { Value: var (upper, lower, tolerance) }
            ? new Divider(upper, lower) { Tolerance = tolerance ?? Divider.UsualTolerance }
            : null;
        var highest = _voltages.HighestAt(point);
        var through = ThroughMultiplexer(point);
        var built = new TestPoint(point.Name.Value, through?.Multiplexer.CommonPin ?? point.Adapter?.Value, divider, point.Ground?.Value)
        {
            Highest = highest,
            Series = point.Series?.Value ?? TestPoint.UsualSeries,
            Through = through,
        };
        if (!point.DividerBroken)
            _voltages.CheckRange(point, built);
        CheckSeries(point);
        return built;
    }

    private void CheckSeries(WrittenTestPoint point)
    {
        if (point.Series is not { } series)
            return;
        if (_document.Channels.Any(channel => channel.DrivenAt?.Value == point.Name.Value))
            _errors.Add(series, $"a line is driven at {point.Name.Value}: its lead is the line's", "write 'series' at the line");
        else if (point.Divider is not null || point.DividerBroken)
            _errors.Add(series, "a divider bounds the current by itself", "remove 'series' here");
        else
            LeadResistors.CheckSense(series, _errors);
    }

    private Controller? BuildController()
    {
        if (_document.Controller is not { } controller)
            return null;
        if (controller is { SensedAt: { } alone, Is: null })
            _errors.Add(alone, "this does not say at which level the controller is disabled", "write it beside: 'is: low'");
        if (controller is { SensedAt: null, Is: { } level })
            _errors.Add(level, "this does not say where the level is sensed", "name the test point beside: 'sensed-at: CONTROLLER'");
        var point = FindPoint(controller.SensedAt);
        if (point is { AdapterPin: null })
        {
            _errors.Add(
                controller.SensedAt!, $"no lead goes to '{point.Name}', so the adapter could not see whether the controller is disabled",
                $"give test-points.{point.Name} its 'adapter' pin, or remove 'sensed-at' and 'is'");
        }
        RefuseThroughMultiplexer(controller.SensedAt, point, "it is looked at before the adapter drives anything, its select pins included");
        if (point is not null && _document.Channels.Any(channel => channel.DrivenAt?.Value == point.Name))
        {
            _errors.Add(
                controller.SensedAt!, $"'{point.Name}' is a line itself: it idles at the same level with the controller and without",
                "name a point that only the controller changes, such as its supply or a pin of its own");
        }
        return controller.DisabledBy is { } by ? new(by.Value, point, point is null ? null : controller.Is?.Value) : null;
    }

    /// <summary>The input of a multiplexer that a point's lead goes to; null for a pin of the adapter.</summary>
    private MultiplexerInput? ThroughMultiplexer(WrittenTestPoint point)
    {
        if (point.Adapter is not { } end || MultiplexerInputForm().Match(end.Value) is not { Success: true } form)
        {
            // No adapter marks a pin with a point in it.
            if (point.Adapter is { } pin && (pin.Value.Contains('.', StringComparison.Ordinal) || _multiplexers.ContainsKey(pin.Value)))
                _errors.Add(pin, $"'{pin.Value}' is neither an adapter pin nor an input of a multiplexer", "write a pin as the adapter marks it, for example 'A0', or an input such as 'M1.Y3'");
            return null;
        }
        var name = end with { Value = form.Groups["multiplexer"].Value };
        if (Find(name, _multiplexers, "multiplexer", "multiplexers") is not { } multiplexer)
            return null;
        if (int.TryParse(form.Groups["address"].Value, CultureInfo.InvariantCulture, out var address) && address < multiplexer.Type.InputCount)
            return new(multiplexer, address);
        _errors.Add(end, $"a {multiplexer.Type.Name} has no input Y{form.Groups["address"].Value}", $"its inputs are Y0 to Y{multiplexer.Type.InputCount - 1}");
        return null;
    }

    private Multiplexer? BuildMultiplexer(WrittenMultiplexer multiplexer)
    {
        if (FindType(multiplexer.Type) is not { } type)
            return null;
        if (type is not MultiplexerType kind)
        {
            _errors.Add(multiplexer.Type!, $"a {type.Name} is no multiplexer", NearestName.Suggest(type.Name, _library.Types.Values.OfType<MultiplexerType>().Select(known => known.Name), "multiplexers"));
            return null;
        }
        if (!multiplexer.Select.IsEmpty && multiplexer.Select.Length != kind.SelectCount)
        {
            _errors.Add(
                multiplexer.Select[^1], $"a {kind.Name} has {kind.SelectCount} select pins, {multiplexer.Select.Length} {(multiplexer.Select.Length == 1 ? "is" : "are")} named",
                $"name the adapter pins at S0 to S{kind.SelectCount - 1}, S0 first");
            return null;
        }
        return multiplexer.Common is null || multiplexer.Select.IsEmpty
            ? null
            : new(multiplexer.Name.Value, kind, multiplexer.Common.Value, [.. multiplexer.Select.Select(pin => pin.Value)]);
    }

    private Supply? BuildSupply(WrittenSupply supply)
    {
        var sensedAt = FindPoint(supply.SensedAt);
        RefuseThroughMultiplexer(supply.SensedAt, sensedAt, "a supply is looked at before the multiplexers are switched");
        return supply.Volts is { Value: var (nominal, tolerance) } ? new(supply.Name.Value, nominal, tolerance, sensedAt, supply.Motion?.Value ?? false) : null;
    }

    private Ground? BuildGround(WrittenGround ground) =>
        FindSupply(ground.IsolatedFrom) is { } supply ? new(ground.Name.Value, supply, ground.BridgedBecause?.Value) : null;

    private PartType? FindType(Written<string>? name)
    {
        if (name is null)
            return null;
        if (_library.Types.TryGetValue(name.Value, out var type))
            return type;
        if (!_library.BrokenNames.Contains(name.Value))
            _errors.Add(name, $"the part library has no type '{name.Value}'", NearestName.Suggest(name.Value, _library.Types.Keys, "part types"));
        return null;
    }

    /// <summary>What has to be seen all the time cannot lie behind a multiplexer.</summary>
    private void RefuseThroughMultiplexer(Written<string>? written, TestPoint? point, string why)
    {
        if (written is not null && point?.Through is { } through)
            _errors.Add(written, $"'{point.Name}' is seen through {through}: {why}", $"give test-points.{point.Name} an adapter pin of its own");
    }

    private Part? BuildPart(WrittenPart part)
    {
        if (FindType(part.Type) is not { } type)
            return null;
        switch (type)
        {
            case BufferType buffer:
                RefuseAll(part, type, "supply", "tied");
                return PoweredBy(part, type) is { } logic ? new BufferPart(part.Name.Value, buffer, logic) { Tied = BuildTied(part, buffer, logic) } : null;
            case DriverType { HasLogicSupply: true } open:
                return BuildOpenCollector(part, open);
            case DriverType driver:
                RefuseAll(part, type, "supply", "load");
                return PoweredBy(part, type) is { } power ? WithinOutput(part, new(part.Name.Value, driver, power) { Load = part.Load?.Value }, part.Supply!) : null;
            case RelayType relay:
                RefuseAll(part, type, "supply", "pull-up");
                return PoweredBy(part, type) is { } pulledUpTo ? new RelayPart(part.Name.Value, relay, pulledUpTo) { PullUp = part.PullUp?.Value } : null;
            case SwitchType contact:
                RefuseAll(part, type);
                return new SwitchPart(part.Name.Value, contact);
            case IsolatorType isolator:
                return BuildIsolator(part, isolator);
            case MultiplexerType:
                _errors.Add(part.Type!, $"a {type.Name} belongs to the measuring set-up", "describe it in 'multiplexers', not in 'parts'");
                return null;
            default:
                throw new NotSupportedException($"part type {type.GetType().Name} has no circuit in profiles");
        }
    }

    private void RefuseAll(WrittenPart part, PartType type, params string[] except)
    {
        Refuse("supply", part.Supply);
        Refuse("led", part.Led);
        Refuse("output", part.Output);
        Refuse("load", part.Load);
        Refuse("pull-up", part.PullUp);
        Refuse("tied", part.Tied.FirstOrDefault()?.Pin);

        void Refuse<T>(string key, Written<T>? written)
        {
            if (written is not null && !except.Contains(key))
                _errors.Add(written, $"a {type.Name} has no such key", "remove it");
        }
    }

    /// <summary>An output that is off has its whole supply across it.</summary>
    private DriverPart? WithinOutput(WrittenPart part, DriverPart driver, Written<string> supply)
    {
        if (driver.DriverType.OutputMaximum is not { } most || driver.Supply.Maximum <= most)
            return driver;
        _errors.Add(supply, $"supply '{supply.Value}' reaches {driver.Supply.Maximum}, and an output of {part.Name.Value}, a {driver.Type.Name}, stands {most}", "feed its load from a lower supply, or correct the type");
        return null;
    }

    private DriverPart? BuildOpenCollector(WrittenPart part, DriverType type)
    {
        RefuseAll(part, type, "supply", "output");
        if (part.Output is null)
            _errors.Add(part.Name, $"'output' is missing; a {type.Name} needs it", "write what pulls its outputs up, for example 'output: { from: logic, load: 1 kohm }'");
        if (part.Output?.Value?.TakenAtCollector is { } taken)
            _errors.Add(taken, $"a {type.Name} has no such key", "remove it: an open collector is taken at the collector");
        var logic = PoweredBy(part, type);
        var from = FindSupply(part.Output?.Value?.From);
        if (logic is null || from is null || part.Output?.Value?.Load is not { } load)
            return null;
        if (load.Value.Value == 0)
        {
            _errors.Add(load, "a load of 0 ohm ties the output to its supply", "write the pull-up, for example '1 kohm'");
            return null;
        }
        return WithinOutput(part, new(part.Name.Value, type, from) { LogicSupply = logic, Load = load.Value }, part.Output.Value.From!);
    }

    /// <summary>What the enables and the other inputs of gates are wired to.</summary>
    private ImmutableArray<TiedPin> BuildTied(WrittenPart part, BufferType type, Supply own)
    {
        var pins = type.Sections.SelectMany(section => section.OtherInputs.Append(section.Enable)).OfType<string>().Distinct().ToArray();
        var ties = ImmutableArray.CreateBuilder<TiedPin>();
        foreach (var tie in part.Tied)
        {
            if (!pins.Contains(tie.Pin.Value))
            {
                _errors.Add(
                    tie.Pin, $"pin {tie.Pin.Value} of a {type.Name} is neither an enable nor one of several inputs of a gate",
                    pins.Length == 0 ? "remove 'tied': it has no such pin" : $"such pins are {string.Join(", ", pins)}");
                continue;
            }
            if (tie.To is not null && BuildTie(tie, tie.To, own) is { } built)
                ties.Add(built);
        }
        return ties.ToImmutable();
    }

    private TiedPin? BuildTie(WrittenTie tie, Written<string> to, Supply own)
    {
        var pin = tie.Pin.Value;
        if (to.Value == TiedPin.Ground || _supplies.ContainsKey(to.Value))
        {
            if (tie.Is is not null)
                _errors.Add(to, $"'{to.Value}' has one level only", $"write just '{pin}: {to.Value}'");
            if (to.Value == TiedPin.Ground)
                return new(pin, null, null, Level.Low);
            if (_supplies[to.Value] is not { } supply)
                return null;
            if (supply.Nominal <= own.Maximum)
                return new(pin, supply, null, Level.High);
            _errors.Add(to, $"supply '{supply.Name}' has {supply.Nominal}, and a pin of this package takes {own.Maximum}, its own supply", $"tie it to '{own.Name}'");
            return null;
        }
        if (!_points.TryGetValue(to.Value, out var point))
        {
            _errors.Add(to, $"there is no supply and no test point '{to.Value}'", NearestName.Suggest(to.Value, _supplies.Keys.Concat(_points.Keys).Append(TiedPin.Ground), "supplies, test points and ground"));
            return null;
        }
        if (Moves(to.Value))
        {
            _errors.Add(
                to, $"a command moves '{to.Value}', so what passes this section depends on two lines",
                $"tie the pin with a link while the board is tested, and write where to: '{pin}: {own.Name}'");
            return null;
        }
        if (tie.Is is not { } level)
        {
            _errors.Add(to, $"this does not say which level '{to.Value}' has", $"write it: '{to.Value} is low'");
            return null;
        }
        return point is null ? null : new(pin, null, point, level);
    }

    /// <summary>True for a net that some line drives, or that is an output in some path.</summary>
    private bool Moves(string point) => _document.Channels.Any(channel => channel.DrivenAt?.Value == point
        || channel.Path.OfType<WrittenSection>().Any(section => point == $"{section.Part.Value}.{section.Output}" || (section.Output is null && point.StartsWith($"{section.Part.Value}.", StringComparison.Ordinal))));

    private Supply? PoweredBy(WrittenPart part, PartType type)
    {
        if (part.Supply is null)
            _errors.Add(part.Name, $"'supply' is missing; a {type.Name} needs it", "write for example 'supply: logic'");
        return FindSupply(part.Supply);
    }

    private IsolatorPart? BuildIsolator(WrittenPart part, IsolatorType type)
    {
        RefuseAll(part, type, "led", "output");
        if (part.Led is null)
            _errors.Add(part.Name, $"'led' is missing; a {type.Name} needs it", "write for example 'led: { from: logic, resistor: 220 ohm }'");
        if (part.Output is null)
            _errors.Add(part.Name, $"'output' is missing; a {type.Name} needs it", "write for example 'output: { from: isolated, load: 10 kohm, taken-at: collector }'");
        if (part.Output?.Value is { SaysWhere: false })
            _errors.Add(part.Output, $"'taken-at' is missing; a {type.Name} needs it", "write for example 'taken-at: collector'");
        var ledSupply = FindSupply(part.Led?.Value?.From);
        var outputSupply = FindSupply(part.Output?.Value?.From);
        if (ledSupply is null || outputSupply is null || part.Led?.Value?.Resistor is not { } resistor
            || part.Output?.Value is not { Load: { } load, TakenAtCollector: { } takenAt })
        {
            return null;
        }
        if (load.Value.Value == 0)
        {
            _errors.Add(load, "a load of 0 ohm ties the output to its supply", "write the load resistor, for example '10 kohm'");
            return null;
        }
        var across = ledSupply.Nominal.Value - type.LedForwardTypical.Value;
        if (across <= 0)
        {
            _errors.Add(
                part.Led.Value.From!, $"{ledSupply.Name} has {ledSupply.Nominal}, the LED alone takes {type.LedForwardTypical}",
                "feed the LED from a higher supply");
            return null;
        }
        var highestCurrent = new Amperes((ledSupply.Maximum.Value - type.LedForwardTypical.Value) / resistor.Value.Value);
        if (resistor.Value.Value == 0 || highestCurrent > type.LedCurrentMaximum)
        {
            var needed = new Ohms((ledSupply.Maximum.Value - type.LedForwardTypical.Value) / type.LedCurrentMaximum.Value);
            _errors.Add(
                resistor, $"{resistor.Value} lets more than the permitted {type.LedCurrentMaximum} through the LED",
                $"a {type.Name} at {ledSupply.Maximum} needs at least {needed}");
            return null;
        }
        return new(part.Name.Value, type, ledSupply, resistor.Value, outputSupply, load.Value, takenAt.Value);
    }

    private Line? BuildLine(WrittenLine line)
    {
        var idlesBy = IdlesBy(line);
        if (line.Adapter is null || line.Idle is null || line.Motion is null || line.LongestOn is null || line.Rest is null || idlesBy is null)
            return null;
        return new(line.Name.Value, line.Adapter.Value, line.Idle.Value, line.Motion.Value, line.LongestOn.Value, line.Rest.Value, idlesBy)
        {
            Series = line.Series?.Value ?? Line.UsualSeries,
            Hold = HoldOf(line.Hold),
        };
    }

    private PullResistor? HoldOf(WrittenHold hold)
    {
        const string Origin = "line's hold of the profile";
        if (hold.PullUp is { Value: var (resistor, supply) })
            return FindSupply(supply) is { } to ? new(resistor, to, default, Origin) : null;
        return hold.PullDown is { } down ? new(down.Value, null, default, Origin) : null;
    }

    /// <summary>After a reset of the adapter its pins float, so something on the board has to hold each line at idle.</summary>
    private string? IdlesBy(WrittenLine line)
    {
        var hold = line.Hold;
        if (line.Idle is not { } idle)
            return null;
        if (!hold.Any)
        {
            _errors.Add(
                line.Name, $"nothing holds the line {idle.Value.Word()} while the adapter's pin floats (after a reset of the adapter)",
                idle.Value == Level.Low
                    ? "an open LS-TTL input reads high: fit a pull-down and declare it, 'pull-down: 1 kohm', or say what else does it, 'held-low-by: …'"
                    : "declare what does: 'pull-up: 4.7 kohm to logic', or 'floats-to: high' where the line ends in an LS-TTL input");
            return null;
        }
        if (hold.FloatsTo is { Value: Level.Low } floats)
        {
            _errors.Add(floats, "an open line does not float low", "fit a pull-down and declare it: 'pull-down: 1 kohm'");
            return null;
        }
        if (idle.Value == Level.Low)
        {
            Contradict(hold.PullUp, idle.Value);
            Contradict(hold.FloatsTo, idle.Value);
            return hold.PullDown is { } down ? $"{down.Value} pull-down" : hold.HeldLowBy?.Value;
        }
        Contradict(hold.PullDown, idle.Value);
        Contradict(hold.HeldLowBy, idle.Value);
        if (hold.PullUp is { Value: var (resistor, supply) })
            return FindSupply(supply) is { } to ? $"{resistor} pull-up to {to.Name}" : null;
        return hold.FloatsTo is null ? null : "the LS-TTL input at its end, which floats high";
    }

    private void Contradict<T>(Written<T>? hold, Level idle)
    {
        if (hold is null)
            return;
        _errors.Add(
            hold, $"this does not hold the line {idle.Word()}, its idle level",
            idle == Level.Low ? "write 'pull-down: 1 kohm' or 'held-low-by: …', or correct 'idle'" : "write 'pull-up: 4.7 kohm to logic', or correct 'idle'");
    }

    private (Line, Line)? BuildKeptApart((Written<string> First, Written<string> Second) pair)
    {
        var first = FindLine(pair.First);
        var second = FindLine(pair.Second);
        if (pair.First.Value == pair.Second.Value)
        {
            _errors.Add(pair.Second, $"'{pair.Second.Value}' cannot be kept apart from itself", "name the two lines that must not be on together");
            return null;
        }
        return first is null || second is null ? null : (first, second);
    }

    private StopInput? BuildStop(WrittenStop stop)
    {
        var point = FindPoint(stop.Point);
        if (point is { AdapterPin: null })
        {
            _errors.Add(
                stop.Point, $"no lead goes to '{point.Name}', so the adapter could not stop on it",
                $"give test-points.{point.Name} its 'adapter' pin, or remove this stop input");
        }
        RefuseThroughMultiplexer(stop.Point, point, "the adapter has to see it at every moment");
        var lines = stop.All ? [.. _document.Lines.Select(line => _lines[line.Name.Value])] : stop.Ends.Select(FindLine).ToArray();
        return point is null || stop.Goes is null || lines.Any(line => line is null) ? null : new(point, stop.Goes.Value, [.. lines.Select(line => line!)], IsLimit: !stop.All && lines.Length == 1);
    }

    private Channel? BuildChannel(WrittenChannel channel)
    {
        var line = FindLine(channel.Line);
        var drivenAt = FindPoint(channel.DrivenAt);
        RefuseThroughMultiplexer(channel.DrivenAt, drivenAt, "the drive line stands in every capture");
        var stages = BuildStages(channel.Path, line);
        var feedback = channel.Feedback.Select(BuildFeedback).ToArray();
        var overridden = ApplyOverrides(channel, stages);
        if (channel.UndoneBy is { } undo && (undo.Value == channel.Name.Value || _document.Channels.All(other => other.Name.Value != undo.Value)))
        {
            _errors.Add(
                undo, undo.Value == channel.Name.Value ? "a channel does not undo itself" : $"there is no channel '{undo.Value}'",
                NearestName.Suggest(undo.Value, _document.Channels.Select(other => other.Name.Value).Where(name => name != channel.Name.Value), "channels"));
        }
        if (line is not null && channel.MotionOn is { } motionOn && motionOn.Value > line.LongestOn)
        {
            _errors.Add(
                motionOn, $"{motionOn.Value} is longer than the longest on-time of line '{line.Name}', {line.LongestOn}",
                $"write at most {line.LongestOn}: the device would refuse more");
        }
        if (channel.MotionOn is null && !channel.HasExercise && line is { Motion: true })
        {
            _errors.Add(
                channel.Name, $"'exercise' is missing, and line '{line.Name}' can move something",
                "write for how long it may move, for example 'exercise: { motion-on: 400 ms }'");
        }
        CheckCoils(channel, stages);
        if (line is null || drivenAt is null || (channel.MotionOn is null && line.Motion) || overridden.Length == 0 || overridden.Any(stage => stage is null) || feedback.Any(f => f is null))
            return null;
        return new(
            channel.Name.Value, line, drivenAt, [.. overridden.Select(stage => stage!)], [.. feedback.Select(f => f!)], channel.MotionOn?.Value ?? Duration.Zero,
            channel.UndoneBy?.Value);
    }

    /// <summary>The coil of a relay hangs between a supply and the driver in front, which sinks its current.</summary>
    private void CheckCoils(WrittenChannel channel, Stage?[] stages)
    {
        for (var i = 0; i < stages.Length; i++)
        {
            if (stages[i]?.Part is not RelayPart relay || (i > 0 && stages[i - 1] is null))
                continue;
            var at = channel.Path[i]!.Part;
            if (i == 0 || stages[i - 1]!.Part is not DriverPart { DriverType.HighSide: false } driver)
            {
                _errors.Add(at, $"nothing in front of {relay.Name} sinks the current of its coil", "name the low-side driver of its coil in front of it: '[ U1 2>18, Q1, K1 ]'");
                continue;
            }
            // What a coil stands, and what it needs to operate (common practice).
            var share = driver.Supply.Nominal.Value / relay.RelayType.CoilNominal.Value;
            if (share is < 0.8 or > 1.1)
            {
                _errors.Add(
                    at, $"the coil of {relay.Name} is made for {relay.RelayType.CoilNominal}, and {driver.Name} switches {driver.Supply.Nominal} to it",
                    $"correct the supply of {driver.Name}, or the type of {relay.Name}");
            }
        }
    }

    /// <summary>In path order, because how much current an isolator's LED gets depends on what is in front of it.</summary>
    private Stage?[] BuildStages(ImmutableArray<WrittenSection?> path, Line? line)
    {
        var stages = new Stage?[path.Length];
        for (var i = 0; i < stages.Length; i++)
            stages[i] = BuildStage(path[i], i == 0 ? null : stages[i - 1], i == 0 ? line : null);
        return stages;
    }

    /// <param name="line">That drives the first stage; null of the others.</param>
    private Stage? BuildStage(WrittenSection? section, Stage? front, Line? line)
    {
        if (section is null || Find(section.Part, _parts, "part", "parts") is not { } part)
            return null;
        switch (part)
        {
            case BufferPart buffer:
                var found = SectionOf(section, part, [.. buffer.BufferType.Sections.Select(known => (known.Input, known.Output))]);
                if (found is not { } match || !IsOpen(section, buffer, buffer.BufferType.Sections[match]))
                    return null;
                var way = buffer.BufferType.Sections[match];
                return StageModel.Of(buffer, way, _points.GetValueOrDefault($"{part.Name}.{way.Output}"));
            case IsolatorPart isolator:
                var stage = StageModel.Of(isolator, null);
                var form = $"{section.Part.Value} {section.Input}>{section.Output}";
                if (section.Input is not null && form != stage.Name)
                {
                    _errors.Add(
                        section.Part, $"the command does not pass {part.Name} from {section.Input} to {section.Output}",
                        $"it enters at the cathode and leaves at the {(isolator.TakenAtCollector ? "collector" : "emitter")}: write '{stage.Name}', or just '{part.Name}'");
                    return null;
                }
                return StageModel.Of(isolator, _points.GetValueOrDefault(stage.OutputName), line is null ? front?.Circuit.WhenLow : StageModel.SinkOf(isolator, line));
            case DriverPart { DriverType.Sections: { IsEmpty: false } sections } array:
                return SectionOf(section, part, [.. sections.Select(known => (known.Input, known.Output))]) is { } index
                    ? StageModel.Of(array, sections[index], _points.GetValueOrDefault($"{part.Name}.{sections[index].Output}"))
                    : null;
            case DriverPart or RelayPart when section.Input is not null:
                _errors.Add(section.Part, $"{part.Name} has one way through", $"write just '{part.Name}'");
                return null;
            case DriverPart driver:
                return StageModel.Of(driver, _points.GetValueOrDefault(StageModel.Of(driver, null).OutputName));
            case RelayPart relay:
                return StageModel.Of(relay, _points.GetValueOrDefault(StageModel.Of(relay, null).OutputName));
            default:
                _errors.Add(section.Part, $"a command does not pass a {part.Type.Name}", "name buffers, gates, isolators, drivers and relays here; a switch belongs under 'feedback' or 'stops'");
                return null;
        }
    }

    /// <summary>The index of the section that is meant; null when there is none such, which is reported.</summary>
    private int? SectionOf(WrittenSection section, Part part, (string Input, string Output)[] sections)
    {
        var all = string.Join(", ", sections.Select(known => $"'{part.Name} {known.Input}>{known.Output}'"));
        if (section.Input is null)
        {
            _errors.Add(section.Part, $"{part.Name} has several sections; which one?", $"write one of {all}");
            return null;
        }
        var index = Array.IndexOf(sections, (section.Input, section.Output!));
        if (index >= 0)
            return index;
        var near = Array.FindIndex(sections, known => known.Input == section.Input);
        if (near < 0)
            near = Array.FindIndex(sections, known => known.Output == section.Output);
        _errors.Add(
            section.Part, $"a {part.Type.Name} has no section {section.Input}>{section.Output}",
            near < 0 ? $"write one of {all}" : $"did you mean '{part.Name} {sections[near].Input}>{sections[near].Output}'?");
        return null;
    }

    /// <summary>Whether the pins beside the command let it through. An enable that the profile does not mention is tied to where it enables; the other inputs of a gate have no default.</summary>
    private bool IsOpen(WrittenSection written, BufferPart part, BufferSection section)
    {
        var name = $"{part.Name} {section.Input}>{section.Output}";
        if (part.Tied.FirstOrDefault(tied => tied.Pin == section.Input) is { } own)
        {
            _errors.Add(written.Part, $"the command enters {part.Name} at pin {section.Input}, which is tied to {own.To}", $"correct the pin here, or in parts.{part.Name}.tied");
            return false;
        }
        if (section.Enable is { } enable && part.Tied.FirstOrDefault(tied => tied.Pin == enable) is { } at && at.Stays != BufferSection.EnabledAt)
        {
            _errors.Add(written.Part, $"{name} is disabled: its enable, pin {enable}, is {at.Stays.Word()} at {at.To}", $"it is enabled while pin {enable} is {BufferSection.EnabledAt.Word()}: correct parts.{part.Name}.tied");
            return false;
        }
        var open = true;
        foreach (var other in section.OtherInputs)
        {
            var tied = part.Tied.FirstOrDefault(known => known.Pin == other);
            if (tied?.Stays == section.PassesAt)
                continue;
            open = false;
            // A tie that was wrong has been reported.
            if (tied is null && _document.Parts.Any(known => known.Name.Value == part.Name && known.Tied.Any(tie => tie.Pin.Value == other)))
                continue;
            var remedy = $"write in parts.{part.Name} what holds it {section.PassesAt.Word()}: 'tied: {{ {other}: {(section.PassesAt == Level.High ? part.Supply.Name : TiedPin.Ground)} }}'";
            _errors.Add(
                written.Part,
                tied is null
                    ? $"{name} passes a command only while pin {other} is {section.PassesAt.Word()}, and nothing tells what that pin is wired to"
                    : $"{name} is blocked: pin {other} is {tied.Stays.Word()} at {tied.To}",
                tied is null ? remedy : $"{remedy}, or correct the pins of the path");
        }
        return open;
    }

    private Feedback? BuildFeedback(WrittenFeedback feedback)
    {
        if (FindPoint(feedback.Point) is not { } point)
            return null;
        if (feedback.OfPulses)
            return feedback is { Pulses.Value: var (minimum, maximum), Within: { } within } ? new PulseFeedback(point, minimum, maximum, within.Value) : null;
        return feedback is { Bounces: { } bounces, SettlesWithin: { } settles } ? new SwitchFeedback(point, bounces.Value, settles.Value) { Debounce = feedback.Debounce?.Value } : null;
    }

    private Stage?[] ApplyOverrides(WrittenChannel channel, Stage?[] stages)
    {
        var result = stages.ToArray();
        foreach (var written in channel.Overrides)
        {
            var index = Array.FindIndex(stages, stage => stage?.OutputName == written.Point.Value);
            if (index < 0)
            {
                // A broken path has been reported; its outputs are not all known.
                if (stages.Length > 0 && stages.All(stage => stage is not null))
                {
                    _errors.Add(
                        written.Point, $"'{written.Point.Value}' is not an output in this channel's path",
                        NearestName.Suggest(written.Point.Value, stages.Select(stage => stage!.OutputName), "outputs"));
                }
                continue;
            }
            var stage = result[index]!;
            result[index] = stage with
            {
                Rise = Overridden(written.Rises, written.Because) ?? stage.Rise,
                Fall = Overridden(written.Falls, written.Because) ?? stage.Fall,
            };
        }
        return result;
    }

    private static DelayRange? Overridden(Written<(Duration Earliest, Duration Latest)>? window, Written<string>? because) =>
        window is { Value: var (earliest, latest) } && because is not null ? new(earliest, latest, $"override: {because.Value}") : null;

    /// <summary>Of the parts of a profile, a socket needs: one isolator with an emitter output, driven by a line alone, and the points where voltages are read.</summary>
    private Socket? BuildSocket(WrittenSocket written)
    {
        var names = new[] { written.Anode, written.Cathode, written.Sink, written.RatioLow };
        var taps = names.Select(Tap).ToArray();
        CheckLoadPins(written);
        if (Find(written.Part, _parts, "part", "parts") is not { } part)
            return null;
        if (part is not IsolatorPart { TakenAtCollector: false } isolator)
        {
            _errors.Add(written.Part!, $"{part.Name} is no isolator with an emitter output", "name the isolator in the socket: '{ type: 4N25, led: …, output: { …, taken-at: emitter } }'");
            return null;
        }
        if (SocketChannel(written.Part!, isolator) is not var (channel, emitter))
            return null;
        CheckTapsDiffer(names, channel, emitter);
        return taps is [{ } anode, { } cathode, { } sink, { } ratioLow] && written is { Ratio: { } ratio, RatioPin: { } ratioPin, DelayPin: { } delayPin, Bleeder: { } bleeder, Tolerance: { } tolerance }
            ? new(
                channel, isolator, anode, cathode, sink, emitter, new(ratio.Value, ratioPin.Value), ratioLow, new(isolator.Load, delayPin.Value), bleeder.Value, tolerance.Value)
            : null;
    }

    /// <summary>The channel that goes through the part alone, from a line that can sink its LED to an emitter that can be read; null after an error.</summary>
    private (Channel Channel, TestPoint Emitter)? SocketChannel(Written<string> name, IsolatorPart part)
    {
        // What is wrong with a channel is told already, and may be all that is wrong here.
        if (_channels.Values.Any(channel => channel is null))
            return null;
        var users = _channels.Values.OfType<Channel>().Where(channel => channel.Stages.Any(stage => stage.Part.Name == part.Name)).ToArray();
        if (users is not [{ Stages: [{ Output: { } emitter }] } channel])
        {
            _errors.Add(name, $"{(users.Length == 0 ? "no channel goes" : "something else goes")} through {part.Name}: its delays are those of a channel that it is alone in", $"write one channel with 'path: [ {part.Name} ]'");
            return null;
        }
        var line = _document.Lines.First(line => line.Name.Value == channel.Line.Name);
        var before = channel.Line;
        if (before.Idle != Level.High)
            _errors.Add(line.Idle!, $"line '{before.Name}' idles low: the LED in the socket would be lit all the time", "write 'idle: high', with the resistor that holds it: 'pull-up: 100 kohm to logic'");
        if (before.Motion)
            _errors.Add(line.Motion!, $"line '{before.Name}' can move something: nothing but an LED hangs on a socket's line", "write 'motion: false'");
        if (line.Series is null)
            _errors.Add(line.Name, $"the current of the LED is read over the resistor in the lead of line '{before.Name}', and nothing says how large that is", "write what is fitted, for example 'series: 220 ohm'");
        if (emitter is not { AdapterPin: not null, Through: null, Divider: null })
            _errors.Add(name, PlainLead(emitter.Name), PlainLeadRemedy(emitter.Name));
        return (channel, emitter);
    }

    /// <summary>Between two of them a voltage is measured: of one point it would be 0 V for any part.</summary>
    private void CheckTapsDiffer(Written<string>?[] names, Channel channel, TestPoint emitter)
    {
        var taken = new Dictionary<string, string> { [emitter.Name] = "the emitter", [channel.DrivenAt.Name] = $"where line '{channel.Line.Name}' is driven, and reads no voltage" };
        foreach (var name in names.OfType<Written<string>>())
        {
            if (!taken.TryAdd(name.Value, $"{name.KeyPath} already"))
                _errors.Add(name, $"'{name.Value}' is {taken[name.Value]}", "name a test point of its own, with a lead of its own");
        }
    }

    private static string PlainLead(string point) => $"'{point}' has no plain lead to the adapter: currents are worked out from its voltage, and a divider would load the circuit";

    private static string PlainLeadRemedy(string point) => $"give test-points.{point} an adapter pin of its own, without a divider";

    private TestPoint? Tap(Written<string>? name)
    {
        if (FindPoint(name) is not { } point)
            return null;
        if (point is { AdapterPin: not null, Through: null, Divider: null })
            return point;
        _errors.Add(name!, PlainLead(point.Name), PlainLeadRemedy(point.Name));
        return null;
    }

    /// <summary>A load pin is wired to its resistor and to nothing else.</summary>
    private void CheckLoadPins(WrittenSocket socket)
    {
        var taken = new Dictionary<string, string>();
        var users = _document.Lines.Select(line => (Pin: line.Adapter, By: $"line '{line.Name.Value}'"))
            .Concat(_document.TestPoints.Select(point => (Pin: point.Adapter, By: $"test point '{point.Name.Value}'")))
            .Concat(_document.Multiplexers.SelectMany(multiplexer => multiplexer.Select.Prepend(multiplexer.Common).Select(pin => (Pin: pin, By: $"multiplexer '{multiplexer.Name.Value}'"))))
            .Append((Pin: socket.RatioPin, By: "the ratio load")).Append((Pin: socket.DelayPin, By: "the delay load"));
        foreach (var (pin, by) in users)
        {
            if (pin is not null && !taken.TryAdd(pin.Value, by) && (pin == socket.RatioPin || pin == socket.DelayPin))
                ReportShared(pin, taken[pin.Value]);
        }
    }

    /// <summary>Two things on one adapter pin fight or lie, except a line and the test point that it is driven at.</summary>
    private void CheckAdapterPins()
    {
        var users = new Dictionary<string, (string What, string? Line)>();
        foreach (var line in _document.Lines)
        {
            if (line.Adapter is { } pin && !users.TryAdd(pin.Value, ($"line '{line.Name.Value}'", line.Name.Value)))
                ReportShared(pin, users[pin.Value].What);
        }
        foreach (var point in _document.TestPoints)
        {
            // Two points at one input of a multiplexer are as bad as two at a pin.
            if (point.Adapter is not { } pin || users.TryAdd(pin.Value, ($"test point '{point.Name.Value}'", null)))
                continue;
            var owner = users[pin.Value].Line;
            var readsBack = owner is not null && _document.Channels.Any(channel => channel.Line?.Value == owner && channel.DrivenAt?.Value == point.Name.Value);
            // Where a channel's 'drive' is broken, and reported, this point may be the one that it meant.
            if (!readsBack && owner is not null && _document.Channels.Any(channel => channel.Line is null || !_lines.ContainsKey(channel.Line.Value)))
                continue;
            if (!readsBack)
                ReportShared(pin, users[pin.Value].What);
            else if (point.Divider is { } divider)
                _errors.Add(divider, $"line '{owner}' drives this pin; there is no lead with a divider in it", "remove the divider");
        }
    }

    private void CheckMultiplexers()
    {
        var taken = _document.Lines.Where(line => line.Adapter is not null).Select(line => (Pin: line.Adapter!.Value, By: $"line '{line.Name.Value}'"))
            .Concat(_document.TestPoints.Where(point => point.Adapter is not null).Select(point => (Pin: point.Adapter!.Value, By: $"test point '{point.Name.Value}'")))
            .ToList();
        var selects = new Dictionary<string, WrittenMultiplexer>();
        foreach (var multiplexer in _document.Multiplexers)
        {
            foreach (var pin in multiplexer.Select.Prepend(multiplexer.Common).OfType<Written<string>>())
            {
                if (taken.Find(user => user.Pin == pin.Value) is { By: { } by })
                    ReportShared(pin, by);
            }
            if (multiplexer.Common is { } common)
                taken.Add((common.Value, $"multiplexer '{multiplexer.Name.Value}'"));
            if (multiplexer.Select.GroupBy(pin => pin.Value).FirstOrDefault(pins => pins.Count() > 1) is { } twice)
                ReportShared(twice.Last(), $"another select pin of '{multiplexer.Name.Value}'");
            var other = multiplexer.Select.Select(pin => selects.GetValueOrDefault(pin.Value)).FirstOrDefault(known => known is not null);
            if (other is not null && !other.Select.Select(pin => pin.Value).SequenceEqual(multiplexer.Select.Select(pin => pin.Value)))
            {
                _errors.Add(
                    multiplexer.Select[0], $"'{multiplexer.Name.Value}' and '{other.Name.Value}' share some select pins, but not all of them in one order",
                    $"write 'select: [{string.Join(", ", other.Select.Select(pin => pin.Value))}]', or give each its own");
            }
            foreach (var pin in multiplexer.Select)
                selects.TryAdd(pin.Value, multiplexer);
        }
        // Its own pins have names as those of a part: U1.Z beside U1.18 would be on the board.
        foreach (var multiplexer in _document.Multiplexers)
        {
            var name = multiplexer.Name.Value;
            if (_document.Parts.Any(part => part.Name.Value == name) || _document.TestPoints.Any(point => point.Name.Value.StartsWith(name + ".", StringComparison.Ordinal)))
                _errors.Add(multiplexer.Name, $"'{name}' is on the board already, and the multiplexer is not part of the board", "give it a name of its own, for example 'M1'");
        }
        // The select pins themselves are nothing else's.
        foreach (var multiplexer in _document.Multiplexers.Where(multiplexer => multiplexer.Common is { } common && selects.ContainsKey(common.Value)))
            ReportShared(multiplexer.Common!, $"a select pin of '{selects[multiplexer.Common!.Value].Name.Value}'");
    }

    private void ReportShared(Written<string> pin, string other) =>
        _errors.Add(pin, $"adapter pin {pin.Value} is already taken by {other}", "give it a pin of its own");

    /// <summary>A section, or a point of the edge connector, with two lines on it is a slip of copying: one line's level would fight the other's.</summary>
    private void CheckSharedSections()
    {
        var users = new Dictionary<string, WrittenChannel>();
        foreach (var channel in _document.Channels)
        {
            if (channel.DrivenAt is { } point && !users.TryAdd($"at {point.Value}", channel) && users[$"at {point.Value}"].Line?.Value != channel.Line?.Value)
            {
                _errors.Add(
                    point, $"'{point.Value}' is driven by line '{users[$"at {point.Value}"].Line?.Value}' already, in channel '{users[$"at {point.Value}"].Name.Value}'",
                    "name the point where this line meets the board");
            }
            foreach (var section in channel.Path.OfType<WrittenSection>())
            {
                // An isolator is the same section with its pins and without.
                var whole = section.Output is null || _parts.GetValueOrDefault(section.Part.Value) is IsolatorPart;
                var name = whole ? section.Part.Value : $"{section.Part.Value} {section.Input}>{section.Output}";
                if (users.TryAdd(name, channel))
                    continue;
                var other = users[name];
                if (other.Name.Value == channel.Name.Value || other.Line?.Value != channel.Line?.Value)
                {
                    _errors.Add(
                        section.Part, $"{name} is in the path of channel '{other.Name.Value}' already",
                        "each section belongs to one line, and once: correct the pins here or there");
                }
            }
        }
    }

    /// <summary>Lines of channels that undo each other drive one motor both ways: on together they short the supply or fight.</summary>
    private void CheckUndoing()
    {
        var reported = new HashSet<(string, string)>();
        foreach (var channel in _document.Channels)
        {
            var other = _document.Channels.FirstOrDefault(candidate => candidate.Name.Value == channel.UndoneBy?.Value);
            if (other is null || channel.Line is not { } a || other.Line is not { } b || a.Value == b.Value)
                continue;
            if (!_lines.ContainsKey(a.Value) || !_lines.ContainsKey(b.Value) || reported.Contains((b.Value, a.Value)))
                continue;
            var apart = _document.KeptApart.Any(pair =>
                (pair.First.Value == a.Value && pair.Second.Value == b.Value) || (pair.First.Value == b.Value && pair.Second.Value == a.Value));
            if (!apart)
            {
                reported.Add((a.Value, b.Value));
                _errors.Add(
                    channel.UndoneBy!, $"lines '{a.Value}' and '{b.Value}' move one axis both ways but are not kept apart",
                    $"add '[{a.Value}, {b.Value}]' to keep-apart");
            }
        }
    }

    private RecordedNames BuildRecordings()
    {
        if (_document.Recordings is not { } written)
            return RecordedNames.None;
        foreach (var shared in written.Signals.Where(signal => signal.Name is not null).GroupBy(signal => signal.Name!.Value).Where(shared => shared.Skip(1).Any()))
            _errors.Add(shared.Last().Name!, $"'{shared.Key}' is {shared.First().Point.Value} already", "each signal of a recording is one test point");
        return new([.. written.Signals.Select(BuildRecordedSignal).OfType<RecordedSignal>()])
        {
            TimeColumn = written.TimeColumn?.Value,
            TimeUnit = written.TimeUnit?.Value,
            Resolution = written.Resolution?.Value,
            ClockTolerance = written.ClockTolerance?.Value,
        };
    }

    private RecordedSignal? BuildRecordedSignal(WrittenRecordedSignal signal)
    {
        FindPoint(signal.Point);
        if (signal is { LowAtMost: not null, HighAtLeast: null } or { LowAtMost: null, HighAtLeast: not null })
            _errors.Add(signal.LowAtMost ?? signal.HighAtLeast!, "only one of the two limits is given", "write both: 'low-at-most: 0.8 V, high-at-least: 2 V'");
        if (signal is { LowAtMost: { } low, HighAtLeast: { } high } && low.Value >= high.Value)
            _errors.Add(high, $"what is high from {high.Value} on would be low up to {low.Value}", "the low limit is below the high one: 'low-at-most: 0.8 V, high-at-least: 2 V'");
        var limits = signal is { LowAtMost: { } most, HighAtLeast: { } least } ? new LevelLimits(most.Value, least.Value, "recordings of the profile") : null;
        return signal.Name is null ? null : new(signal.Point.Value, signal.Name.Value, signal.Unit?.Value, limits);
    }

    private void CheckMotion()
    {
        var moving = _document.Lines.FirstOrDefault(line => line.Motion is { Value: true });
        if (moving is not null && _document.Supplies.All(supply => supply.Motion is { Value: false }) && !_document.Supplies.IsEmpty)
        {
            _errors.Add(
                moving.Motion!, $"line '{moving.Name.Value}' can move something, but no supply powers motion",
                "mark the supply of the motors 'motion: true': it has to be off in logic-only mode");
        }
    }

    /// <summary>What the resistors at a line make of it, against the inputs at its end.</summary>
    private void CheckHeldLines()
    {
        var levels = new LineLevels(_document, _errors);
        foreach (var line in _document.Lines)
        {
            var inputs = _channels.Values.Where(channel => channel?.Line.Name == line.Name.Value).Select(channel => channel!.Stages[0]).ToArray();
            if (line.Hold.FloatsTo is { } floats && inputs.FirstOrDefault(stage => stage.Circuit.Input is not { Floats: Level.High }) is { } other)
            {
                _errors.Add(
                    floats, $"the line ends in {other.Name}, and nothing says that the input of a {other.Part.Type.Name} floats high",
                    "fit a pull-up and declare it: 'pull-up: 4.7 kohm to logic'");
            }
            levels.Check(line, inputs);
        }
    }

    [GeneratedRegex(@"^(?<multiplexer>\S+)\.Y(?<address>[0-9]+)$")]
    private static partial Regex MultiplexerInputForm();
}
