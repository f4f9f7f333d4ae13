using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using static TestRig.Bench.Files.KeyRule;

namespace TestRig.Bench.Files;

/// <summary>Reads the text of one file of the part library. Every figure carries its source; one without is an error.</summary>
internal sealed partial class PartTypeReader
{
    public const string Format = "testrig-part/1";

    private static readonly KeyRule[] CommonKeys =
    [
        Must("format", $"format: {Format}"),
        Must("kind", "kind: buffer"),
        Must("name", "name: 74LS240"),
        Must("description", "description: eight inverting buffers"),
        Must("source", "source: title, publisher, page of the sheet with the pins"),
        May("package"),
    ];

    private static readonly KeyRule BouncesRule = Must("bounces", "bounces: { maximum: 10, source: … }");

    private static readonly KeyRule SettlingRule = Must("settling", "settling: { maximum: 6200 us, source: … }");

    private static readonly KeyRule FiguresRule = Must("figures", "figures: { … }");

    private static readonly KeyRule OnDelayRule = Must("on-delay", "on-delay: { typical: 2 us, source: … }");

    private static readonly KeyRule OffDelayRule = Must("off-delay", "off-delay: { typical: 8 us, source: … }");

    private static readonly (string Word, string Value)[] Kinds =
        [.. ((string[])["buffer", "gate", "isolator", "driver", "open-collector", "relay", "switch", "multiplexer"]).Select(kind => (kind, kind))];

    /// <summary>What a gate makes of its inputs: whether it inverts, and the level at its other inputs that lets one pass.</summary>
    private static readonly (string Word, (bool Inverts, Level PassesAt) Value)[] Functions =
    [
        ("nand", (true, Level.High)), ("and", (false, Level.High)), ("nor", (true, Level.Low)), ("or", (false, Level.Low)), ("not", (true, Level.High)),
    ];

    private static readonly ImmutableArray<string> Bounds = ["minimum", "typical", "maximum"];

    private readonly ErrorList _errors;
    private readonly QuantityReader _quantities;
    private readonly ImmutableArray<Figure>.Builder _figures = ImmutableArray.CreateBuilder<Figure>();

    private PartTypeReader(ErrorList errors)
    {
        _errors = errors;
        _quantities = new(errors);
    }

    /// <summary>The part type; null after an error.</summary>
    public static Written<PartType>? Read(string text, ErrorList errors)
    {
        if (DocumentReader.ReadText(text, errors) is not { } root)
            return null;
        var type = new PartTypeReader(errors).ReadRoot(root);
        return errors.Any ? null : type;
    }

    private Written<PartType>? ReadRoot(DocumentNode root)
    {
        // The kind decides which keys there are, so it is looked up before the group is opened.
        var kind = (root as MapNode)?.Entries.FirstOrDefault(entry => entry.Key.Text == "kind")?.Value as TextNode;
        KeyRule[] ofKind = kind?.Text switch
        {
            "buffer" => [Must("inverting", "inverting: true"), Must("sections", "sections: [ { input: 2, output: 18, enable: 1 } ]"), FiguresRule, May("floating-input"), May("pin-sum")],
            "gate" => [Must("function", "function: nand"), Must("gates", "gates: [ { inputs: [1, 2], output: 3 } ]"), FiguresRule, May("floating-input")],
            "isolator" => [Must("pins", "pins: { anode: 1, cathode: 2, emitter: 4, collector: 5 }"), FiguresRule],
            "driver" => [Must("side", "side: high"), FiguresRule, May("sections"), May("pin-sum"), May("floating-input")],
            "open-collector" => [Must("inverting", "inverting: true"), Must("sections", "sections: [ { input: 1, output: 2 } ]"), FiguresRule, May("floating-input"), May("pin-sum")],
            "relay" => [FiguresRule],
            "switch" => [FiguresRule],
            "multiplexer" => [Must("select-pins", "select-pins: 3"), FiguresRule],
            _ => [May("figures"), May("inverting"), May("sections"), May("floating-input"), May("pins"), May("side"), May("select-pins"), May("function"), May("gates"), May("pin-sum")],
        };
        if (MapReader.Open(root, "", _errors, [.. CommonKeys, .. ofKind]) is not { } part)
            return null;
        ProfileReader.CheckFormat(part, Format, _errors);
        var kindText = part.Choice("kind", Kinds);
        if (kindText is null || part.Text("name") is not { } name || part.Text("description") is not { } description || part.Text("source") is not { } source)
            return null;
        PartType? type = kindText.Value switch
        {
            "buffer" => ReadBuffer(part, name.Value, description.Value, source.Value),
            "isolator" => ReadIsolator(part, name.Value, description.Value, source.Value),
            "gate" => ReadGates(part, name.Value, description.Value, source.Value),
            "driver" => ReadDriver(part, name.Value, description.Value, source.Value),
            "open-collector" => ReadOpenCollector(part, name.Value, description.Value, source.Value),
            "relay" => ReadRelay(part, name.Value, description.Value, source.Value),
            "multiplexer" => ReadMultiplexer(part, name.Value, description.Value, source.Value),
            _ => ReadSwitch(part, name.Value, description.Value, source.Value),
        };
        return type is null ? null : new(type with { Figures = _figures.ToImmutable(), DipPins = ReadPackage(part, type) }, name.Place, name.KeyPath);
    }

    /// <summary>"DIP-20": how the part is drawn where leads are clipped to it.</summary>
    private int? ReadPackage(MapReader part, PartType type)
    {
        if (part.Text("package") is not { } package)
            return null;
        if (PackageForm().Match(package.Value) is not { Success: true } match
            || !int.TryParse(match.Groups["pins"].Value, NumberStyles.None, CultureInfo.InvariantCulture, out var pins) || pins is < 4 or > 64 || pins % 2 != 0)
        {
            _errors.Add(package, $"'{package.Value}' is not a dual in-line package", "write DIP and the number of its pins, an even one from 4 to 64: 'DIP-20'; leave other packages out");
            return null;
        }
        foreach (var pin in PinsOf(type))
        {
            if (!int.TryParse(pin, NumberStyles.None, CultureInfo.InvariantCulture, out var number) || number < 1 || number > pins)
                _errors.Add(package, $"the part has a pin '{pin}', and a {package.Value} has pins 1 to {pins}", "correct the package or the pin");
        }
        return pins;
    }

    private static IEnumerable<string> PinsOf(PartType type) => type switch
    {
        BufferType buffer => buffer.Sections.SelectMany(section => new[] { section.Input, section.Output, section.Enable }).OfType<string>().Distinct(),
        DriverType driver => driver.Sections.SelectMany(section => new[] { section.Input, section.Output }),
        IsolatorType isolator => [isolator.AnodePin, isolator.CathodePin, isolator.CollectorPin, isolator.EmitterPin],
        _ => [],
    };

    [GeneratedRegex("^DIP-(?<pins>[0-9]{1,2})$")]
    private static partial Regex PackageForm();

    private BufferType? ReadBuffer(MapReader part, string name, string description, string source)
    {
        var inverting = part.TrueOrFalse("inverting");
        var sections = ReadSections(part, mayHaveEnable: true);
        return ReadLogic(part, name, description, source, inverting?.Value, sections);
    }

    /// <summary>Every input of a gate is a way through it, which the others open or close.</summary>
    private BufferType? ReadGates(MapReader part, string name, string description, string source)
    {
        var function = part.Choice("function", Functions);
        if (part["gates"] is { } other and not ListNode { Items.IsEmpty: false })
            _errors.Add(other.Place, "gates", $"{other.Kind} stands here", "list the gates: '- { inputs: [1, 2], output: 3 }'");
        var nodes = part["gates"] is ListNode { Items: var items } ? items : [];
        var sections = ImmutableArray.CreateBuilder<BufferSection>();
        var pins = new HashSet<string>();
        for (var i = 0; i < nodes.Length; i++)
        {
            if (MapReader.Open(nodes[i], $"gates[{i + 1}]", _errors, Must("inputs", "inputs: [1, 2]"), Must("output", "output: 3")) is not { } gate
                || gate.Texts("inputs") is not { } inputs || gate.Text("output") is not { } output)
            {
                continue;
            }
            foreach (var pin in inputs.Append(output))
                CheckOwn(pin, pins);
            var isNot = part["function"] is TextNode { Text: "not" };
            if (isNot != (inputs.Count == 1) || inputs.Count == 0)
            {
                _errors.Add(
                    gate.Place, gate.PathOf("inputs"), $"a gate of this function does not have {inputs.Count} {(inputs.Count == 1 ? "input" : "inputs")}",
                    isNot ? "'not' has one input" : "list its inputs, two or more; an inverter is 'function: not'");
            }
            foreach (var input in inputs)
            {
                sections.Add(new(input.Value, output.Value, null)
                {
                    OtherInputs = [.. inputs.Select(pin => pin.Value).Where(pin => pin != input.Value)],
                    PassesAt = function?.Value.PassesAt ?? Level.High,
                });
            }
        }
        return ReadLogic(part, name, description, source, function?.Value.Inverts, sections.Count > 0 ? sections.ToImmutable() : null);
    }

    /// <summary>What buffers and gates have in common: everything but their pins.</summary>
    private BufferType? ReadLogic(MapReader part, string name, string description, string source, bool? inverting, ImmutableArray<BufferSection>? sections)
    {
        var floating = ReadFloatingInput(part);
        if (Figures(
            part, Must("rise-delay", "rise-delay: { typical: 9 ns, source: … }"), Must("fall-delay", "fall-delay: { typical: 12 ns, source: … }"),
            Must("input-low", "input-low: { maximum: 0.8 V, source: … }"), Must("input-high", "input-high: { minimum: 2.0 V, source: … }"),
            Must("output-low", "output-low: { maximum: 0.4 V, source: … }"), Must("output-high", "output-high: { minimum: 2.4 V, source: … }"),
            May("input-low-current"), May("input-high-current"), May("output-low-resistance"), May("short-circuit-current")) is not { } figures)
        {
            return null;
        }
        var rise = ReadDelay(figures, "rise-delay");
        var fall = ReadDelay(figures, "fall-delay");
        var input = ReadInput(figures, floating);
        var outputLow = ReadFigure(figures, "output-low", "maximum");
        var outputHigh = ReadFigure(figures, "output-high", "minimum");
        var (low, high) = (_quantities.Volts(outputLow?.Value), _quantities.Volts(outputHigh?.Value));
        var (lowTypical, highTypical) = (_quantities.Volts(outputLow?.Typical), _quantities.Volts(outputHigh?.Typical));
        if (low is { } most && lowTypical is { } typicalLow)
            CheckBounds(typicalLow, null, most.Value);
        if (high is { } least && highTypical is { } typicalHigh)
            CheckBounds(typicalHigh, least.Value, null);
        var resistance = _quantities.Ohms(ReadFigure(figures, "output-low-resistance", "typical")?.Value);
        var shorted = OpenFigure(figures, "short-circuit-current", Must("minimum", "minimum: 20 mA"), Must("maximum", "maximum: 100 mA"));
        var (shortedLeast, shortedMost) = (_quantities.Amperes(shorted?.Text("minimum")), _quantities.Amperes(shorted?.Text("maximum")));
        if (shortedLeast is { } atLeast && shortedMost is { } atMost && (atLeast.Value > atMost.Value || atMost.Value.Value == 0))
            _errors.Add(atMost, $"{atMost.Value} at most is below {atLeast.Value} at least", "write their amounts without a sign, the smaller one as minimum");
        if (inverting is null || sections is null || rise is null || fall is null || input is null || low is null || high is null)
            return null;
        return new(name, description, source, inverting.Value, sections.Value, rise, fall, input.Limits, low.Value, high.Value)
        {
            FloatingInput = floating,
            InputLowCurrentMaximum = input.LowCurrentMaximum,
            InputHighCurrentMaximum = input.HighCurrentMaximum,
            OutputLowTypical = lowTypical?.Value,
            OutputHighTypical = highTypical?.Value,
            OutputLowResistance = resistance?.Value,
            ShortCircuitCurrent = shortedLeast is { } from && shortedMost is { } to ? (from.Value, to.Value) : null,
        };
    }

    private Level? ReadFloatingInput(MapReader part)
    {
        if (part["floating-input"] is not { } node
            || MapReader.Open(node, "floating-input", _errors, Must("reads", "reads: high"), Must("source", "source: common practice")) is not { } open)
        {
            return null;
        }
        if (open.Text("reads") is { } reads && open.Text("source") is { } its)
            _figures.Add(new("floating-input", $"reads {reads.Value}", its.Value));
        return open.Level("reads")?.Value;
    }

    /// <summary>The four figures of a logic input; null when its levels are not given, or wrong and reported.</summary>
    private InputLoad? ReadInput(MapReader figures, Level? floating)
    {
        var inputLow = ReadFigure(figures, "input-low", "maximum");
        var inputHigh = ReadFigure(figures, "input-high", "minimum");
        var current = _quantities.Amperes(ReadFigure(figures, "input-low-current", "maximum")?.Value);
        var highCurrent = _quantities.Amperes(ReadFigure(figures, "input-high-current", "maximum")?.Value);
        if (_quantities.Volts(inputLow?.Value) is not { } low || _quantities.Volts(inputHigh?.Value) is not { } high)
            return null;
        var limits = new LevelLimits(low.Value, high.Value, inputLow!.Source == inputHigh!.Source ? inputLow.Source : $"{inputLow.Source}; {inputHigh.Source}");
        if (limits.LowMaximum < limits.HighMinimum)
            return new(limits, floating, current?.Value, highCurrent?.Value);
        _errors.Add(inputHigh.Value!, $"high begins at {limits.HighMinimum}, below the end of low at {limits.LowMaximum}", "write the two limits the other way round");
        return null;
    }

    private bool CheckOwn(Written<string> pin, HashSet<string> pins)
    {
        if (pins.Add(pin.Value))
            return true;
        _errors.Add(pin, $"pin {pin.Value} belongs to another section already", "a pin is the input or output of one section only");
        return false;
    }

    private ImmutableArray<BufferSection>? ReadSections(MapReader part, bool mayHaveEnable)
    {
        if (part["sections"] is not { } node)
            return null;
        if (node is not ListNode list || list.Items.IsEmpty)
        {
            _errors.Add(node.Place, "sections", $"{node.Kind} stands here", $"list the sections: '- {{ input: 2, output: 18{(mayHaveEnable ? ", enable: 1" : "")} }}'");
            return null;
        }
        KeyRule[] rules = [Must("input", "input: 2"), Must("output", "output: 18"), .. mayHaveEnable ? [May("enable")] : Array.Empty<KeyRule>()];
        // Where a package has its inputs opposite its outputs, the numbers of each pair have one sum: a slip in a list of pins shows at once.
        var sum = _quantities.Count(part.Text("pin-sum"));
        var sections = ImmutableArray.CreateBuilder<BufferSection>();
        var pins = new HashSet<string>();
        for (var i = 0; i < list.Items.Length; i++)
        {
            if (MapReader.Open(list.Items[i], $"sections[{i + 1}]", _errors, rules) is not { } section)
                continue;
            if (section.Text("input") is not { } input || section.Text("output") is not { } output)
                continue;
            if (CheckOwn(input, pins) & CheckOwn(output, pins) && sum is not null)
                CheckSum(input, output, sum.Value);
            sections.Add(new(input.Value, output.Value, mayHaveEnable ? section.Text("enable")?.Value : null));
        }
        return sections.Count == list.Items.Length ? sections.ToImmutable() : null;
    }

    private void CheckSum(Written<string> input, Written<string> output, int sum)
    {
        if (!int.TryParse(input.Value, CultureInfo.InvariantCulture, out var one) || !int.TryParse(output.Value, CultureInfo.InvariantCulture, out var other))
            _errors.Add(input, $"'{input.Value}' and '{output.Value}' have no sum", "write pin numbers, or remove 'pin-sum'");
        else if (one + other != sum)
            _errors.Add(output, $"pins {one} and {other} sum to {one + other}, and each pair of this package to {sum}", "correct the pair, or 'pin-sum'");
    }

    private IsolatorType? ReadIsolator(MapReader part, string name, string description, string source)
    {
        var pins = part["pins"] is { } node
            ? MapReader.Open(node, "pins", _errors, Must("anode", "anode: 1"), Must("cathode", "cathode: 2"), Must("emitter", "emitter: 4"), Must("collector", "collector: 5"))
            : null;
        if (Figures(
            part, Must("led-forward", "led-forward: { typical: 1.15 V, source: … }"), Must("led-current", "led-current: { maximum: 60 mA, source: … }"),
            Must("transfer-ratio", "transfer-ratio: { minimum: 20 %, source: … }"), Must("saturation", "saturation: { maximum: 0.5 V, source: … }"),
            Must("on-delay", "on-delay: { typical: 2.8 us, source: … }"), Must("off-delay", "off-delay: { typical: 4.5 us, source: … }"),
            Must("current-gain", "current-gain: { typical: 500, source: … }"),
            Must("collector-base-capacitance", "collector-base-capacitance: { typical: 19 pF, source: … }"),
            Must("storage", "storage: { typical: 10 us, source: … }"), May("test-current"), May("leakage")) is not { } figures)
        {
            return null;
        }
        var ledForward = ReadFigure(figures, "led-forward", "typical");
        var transfer = ReadFigure(figures, "transfer-ratio", "minimum");
        var saturated = ReadFigure(figures, "saturation", "maximum");
        var forward = _quantities.Volts(ledForward?.Value);
        var current = _quantities.Amperes(ReadFigure(figures, "led-current", "maximum")?.Value);
        var ratio = _quantities.Fraction(transfer?.Value);
        var saturation = _quantities.Volts(saturated?.Value);
        var on = ReadDelay(figures, "on-delay");
        var off = ReadDelay(figures, "off-delay");
        var gain = _quantities.Count(ReadFigure(figures, "current-gain", "typical")?.Value);
        var capacitance = _quantities.Farads(ReadFigure(figures, "collector-base-capacitance", "typical")?.Value);
        var storage = _quantities.Duration(ReadFigure(figures, "storage", "typical")?.Value);
        var leakage = ReadFigure(figures, "leakage", "maximum");
        var (leaks, leaksUsually) = (_quantities.Amperes(leakage?.Value), _quantities.Amperes(leakage?.Typical));
        var (test, ratioMost) = (_quantities.Amperes(ReadFigure(figures, "test-current", "typical")?.Value), _quantities.Fraction(transfer?.Maximum));
        var (forwardMost, ratioTypical, saturationTypical) = (_quantities.Volts(ledForward?.Maximum), _quantities.Fraction(transfer?.Typical), _quantities.Volts(saturated?.Typical));
        if (forward is { } its && forwardMost is { } highest)
            CheckBounds(its, null, highest.Value);
        if (ratioTypical is { } usual && ratio is { } smallest)
            CheckBounds(usual, smallest.Value, ratioMost?.Value);
        if (leaksUsually is { } dark && leaks is { } darkest)
            CheckBounds(dark, null, darkest.Value);
        if (saturationTypical is { } low && saturation is { } most)
            CheckBounds(low, null, most.Value);
        if (ratio is { Value: 0 })
            _errors.Add(ratio, "an isolator that transfers nothing isolates everything", "write its minimum, for example '20 %'");
        if (pins?.Text("anode") is not { } anode || pins.Text("cathode") is not { } cathode || pins.Text("emitter") is not { } emitter
            || pins.Text("collector") is not { } collector || forward is null || current is null || ratio is null || saturation is null || on is null
            || off is null || gain is null || capacitance is null || storage is null)
        {
            return null;
        }
        return new(
            name, description, source, anode.Value, cathode.Value, collector.Value, emitter.Value, forward.Value, ratio.Value, saturation.Value,
            current.Value, on, off, gain.Value, capacitance.Value, storage.Value)
        {
            LedForwardMaximum = forwardMost?.Value,
            TransferRatioTypical = ratioTypical?.Value,
            TransferRatioMaximum = ratioMost?.Value,
            TestCurrent = test?.Value,
            LeakageMaximum = leaks?.Value,
            LeakageTypical = leaksUsually?.Value,
            SaturationTypical = saturationTypical?.Value,
        };
    }

    private void CheckBounds<T>(Written<T> typical, T? minimum, T? maximum)
        where T : struct, IComparable<T>
    {
        if (minimum?.CompareTo(typical.Value) > 0 || maximum?.CompareTo(typical.Value) < 0)
            _errors.Add(typical, $"typical {typical.Value} is outside minimum and maximum", "check the three against the sheet");
    }

    private DriverType? ReadDriver(MapReader part, string name, string description, string source)
    {
        var highSide = part.Choice("side", [("high", true), ("low", false)]);
        var sections = part["sections"] is null ? [] : ReadSections(part, mayHaveEnable: false);
        var floating = ReadFloatingInput(part);
        if (Figures(part, OnDelayRule, OffDelayRule, May("saturation"), May("output"), May("input-low"), May("input-high"), May("input-low-current"), May("input-high-current")) is not { } figures)
            return null;
        if (ReadDriverFigures(figures) is not { } driver || highSide is null || sections is null)
            return null;
        if ((figures["input-low"] is null) != (figures["input-high"] is null))
        {
            _errors.Add(figures.Place, "figures", "one of 'input-low' and 'input-high' is missing", "write both, or neither");
            return null;
        }
        return driver with
        {
            Name = name,
            Description = description,
            Source = source,
            HighSide = highSide.Value,
            Sections = [.. sections.Value.Select(section => new DriverSection(section.Input, section.Output))],
            Input = figures["input-low"] is null ? null : ReadInput(figures, floating),
        };
    }

    private DriverType? ReadOpenCollector(MapReader part, string name, string description, string source)
    {
        var inverting = part.TrueOrFalse("inverting");
        var sections = ReadSections(part, mayHaveEnable: false);
        var floating = ReadFloatingInput(part);
        if (Figures(
            part, OnDelayRule, OffDelayRule, Must("saturation", "saturation: { maximum: 0.7 V, source: … }"), Must("output", "output: { maximum: 30 V, source: … }"),
            Must("input-low", "input-low: { maximum: 0.8 V, source: … }"), Must("input-high", "input-high: { minimum: 2.0 V, source: … }"),
            May("input-low-current"), May("input-high-current")) is not { } figures)
        {
            return null;
        }
        if (ReadDriverFigures(figures) is not { } driver || ReadInput(figures, floating) is not { } input || inverting is null || sections is null)
            return null;
        return driver with
        {
            Name = name,
            Description = description,
            Source = source,
            Inverting = inverting.Value,
            HasLogicSupply = true,
            Sections = [.. sections.Value.Select(section => new DriverSection(section.Input, section.Output))],
            Input = input,
        };
    }

    /// <summary>What all that drive in one state have in common; its name and side are the caller's.</summary>
    private DriverType? ReadDriverFigures(MapReader figures)
    {
        var on = ReadDelay(figures, "on-delay");
        var off = ReadDelay(figures, "off-delay");
        var saturation = ReadFigure(figures, "saturation", "maximum");
        var (most, typical) = (_quantities.Volts(saturation?.Value), _quantities.Volts(saturation?.Typical));
        if (typical is { } usual && most is { } bound)
            CheckBounds(usual, null, bound.Value);
        var stands = _quantities.Volts(ReadFigure(figures, "output", "maximum")?.Value);
        return on is null || off is null ? null : new("", "", "", HighSide: false, on, off)
        {
            SaturationMaximum = most?.Value,
            SaturationTypical = typical?.Value,
            OutputMaximum = stands?.Value,
        };
    }

    private RelayType? ReadRelay(MapReader part, string name, string description, string source)
    {
        if (Figures(
            part, Must("coil", "coil: { typical: 24 V, source: … }"), Must("operate-delay", "operate-delay: { typical: 8 ms, source: … }"),
            Must("release-delay", "release-delay: { typical: 5 ms, source: … }"), BouncesRule, SettlingRule, May("coil-resistance"), May("contact-resistance")) is not { } figures)
        {
            return null;
        }
        var coil = _quantities.Volts(ReadFigure(figures, "coil", "typical")?.Value);
        var operate = ReadDelay(figures, "operate-delay");
        var release = ReadDelay(figures, "release-delay");
        var bounce = ReadBounce(figures);
        return coil is null || operate is null || release is null || bounce is null
            ? null
            : new(name, description, source, coil.Value, operate, release, bounce)
            {
                CoilResistance = _quantities.Ohms(ReadFigure(figures, "coil-resistance", "typical")?.Value)?.Value,
                ContactResistanceMaximum = _quantities.Ohms(ReadFigure(figures, "contact-resistance", "maximum")?.Value)?.Value,
            };
    }

    private SwitchType? ReadSwitch(MapReader part, string name, string description, string source) =>
        Figures(part, BouncesRule, SettlingRule) is { } figures && ReadBounce(figures) is { } bounce
            ? new(name, description, source, bounce.Most, bounce.Within)
            : null;

    private MultiplexerType? ReadMultiplexer(MapReader part, string name, string description, string source)
    {
        if (_quantities.Count(part.Text("select-pins")) is not { } selects || Figures(part, Must("on-resistance", "on-resistance: { maximum: 180 ohm, source: … }")) is not { } figures)
            return null;
        if (selects.Value is < 1 or > 4)
        {
            _errors.Add(selects, $"a multiplexer with {selects.Value} select pins cannot be used", "it has 1 to 4 select pins: 2 to 16 inputs");
            return null;
        }
        return _quantities.Ohms(ReadFigure(figures, "on-resistance", "maximum")?.Value) is { } resistance ? new(name, description, source, selects.Value, resistance.Value) : null;
    }

    private ContactBounce? ReadBounce(MapReader figures)
    {
        var bounces = _quantities.Count(ReadFigure(figures, "bounces", "maximum")?.Value);
        var settling = OpenFigure(figures, "settling", Must("maximum", "maximum: 6200 us"), May("average"));
        var settles = _quantities.Duration(settling?.Text("maximum"));
        return bounces is null || settles is null ? null : new(bounces.Value, settles.Value);
    }

    private MapReader? Figures(MapReader part, params KeyRule[] rules) =>
        part["figures"] is { } node ? MapReader.Open(node, "figures", _errors, rules) : null;

    private sealed record ReadText(Written<string>? Value, Written<string>? Typical, Written<string>? Maximum, string Source);

    /// <summary>A figure of which one bound counts; others may be noted beside it.</summary>
    private ReadText? ReadFigure(MapReader figures, string key, string bound)
    {
        var others = Bounds.Where(other => other != bound).Select(other => May(other));
        if (OpenFigure(figures, key, [Must(bound, $"{bound}: …"), .. others]) is not { } figure)
            return null;
        return new(figure.Text(bound), Beside("typical"), Beside("maximum"), figure.Text("source")?.Value ?? "");

        Written<string>? Beside(string other) => other == bound ? null : figure.Text(other);
    }

    private DelayLimits? ReadDelay(MapReader figures, string key)
    {
        if (OpenFigure(figures, key, Must("typical", "typical: 9 ns"), May("minimum"), May("maximum")) is not { } figure)
            return null;
        var minimum = _quantities.Duration(figure.Text("minimum"));
        var typical = _quantities.Duration(figure.Text("typical"));
        var maximum = _quantities.Duration(figure.Text("maximum"));
        if (typical is null || figure.Text("source") is not { } source)
            return null;
        if (minimum?.Value > typical.Value || typical.Value > maximum?.Value)
        {
            _errors.Add(typical, $"typical {typical.Value} is outside minimum and maximum", "check the three against the sheet");
            return null;
        }
        return new(minimum?.Value, typical.Value, maximum?.Value, source.Value);
    }

    private MapReader? OpenFigure(MapReader figures, string key, params KeyRule[] bounds)
    {
        if (figures[key] is not { } node)
            return null;
        var figure = MapReader.Open(node, figures.PathOf(key), _errors, [.. bounds, Must("source", "source: title, page; or 'value from memory'; or 'common practice'")]);
        if (figure?.Text("source") is { } source)
        {
            var values = bounds.Select(bound => (bound.Name, Text: figure.Text(bound.Name)?.Value)).Where(value => value.Text is not null);
            _figures.Add(new(key, string.Join(", ", values.Select(value => $"{value.Name} {value.Text}")), source.Value));
        }
        return figure;
    }
}
