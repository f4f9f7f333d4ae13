using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using static TestRig.Bench.Files.KeyRule;

namespace TestRig.Bench.Files;

/// <summary>Reads one file of the part library. Every figure carries its source; one without is an error.</summary>
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
    public static Written<PartType>? Read(string path, ErrorList errors)
    {
        if (DocumentReader.Read(path, errors) is not { } root)
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
            "buffer" => [Must("inverting", "inverting: true"), Must("sections", "sections: [ { input: 2, output: 18, enable: 1 } ]"), Must("figures", "figures: { … }"), May("floating-input")],
            "isolator" => [Must("pins", "pins: { anode: 1, cathode: 2, emitter: 4, collector: 5 }"), Must("figures", "figures: { … }")],
            "driver" => [Must("side", "side: high"), Must("figures", "figures: { … }")],
            "relay" => [Must("figures", "figures: { … }")],
            "switch" => [Must("figures", "figures: { … }")],
            "multiplexer" => [Must("select-pins", "select-pins: 3"), Must("figures", "figures: { … }")],
            _ => [May("figures"), May("inverting"), May("sections"), May("floating-input"), May("pins"), May("side"), May("select-pins")],
        };
        if (MapReader.Open(root, "", _errors, [.. CommonKeys, .. ofKind]) is not { } part)
            return null;
        ProfileReader.CheckFormat(part, Format, _errors);
        var kindText = part.Choice("kind", [("buffer", "buffer"), ("isolator", "isolator"), ("driver", "driver"), ("relay", "relay"), ("switch", "switch"), ("multiplexer", "multiplexer")]);
        if (kindText is null || part.Text("name") is not { } name || part.Text("description") is not { } description || part.Text("source") is not { } source)
            return null;
        PartType? type = kindText.Value switch
        {
            "buffer" => ReadBuffer(part, name.Value, description.Value, source.Value),
            "isolator" => ReadIsolator(part, name.Value, description.Value, source.Value),
            "driver" => ReadDriver(part, name.Value, description.Value, source.Value),
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
        BufferType buffer => buffer.Sections.SelectMany(section => new[] { section.Input, section.Output, section.Enable }).OfType<string>(),
        IsolatorType isolator => [isolator.AnodePin, isolator.CathodePin, isolator.CollectorPin, isolator.EmitterPin],
        _ => [],
    };

    [GeneratedRegex("^DIP-(?<pins>[0-9]{1,2})$")]
    private static partial Regex PackageForm();

    private BufferType? ReadBuffer(MapReader part, string name, string description, string source)
    {
        var inverting = part.TrueOrFalse("inverting");
        var sections = ReadSections(part);
        Level? floating = null;
        if (part["floating-input"] is { } node
            && MapReader.Open(node, "floating-input", _errors, Must("reads", "reads: high"), Must("source", "source: common practice")) is { } open)
        {
            floating = open.Level("reads")?.Value;
            if (open.Text("reads") is { } reads && open.Text("source") is { } its)
                _figures.Add(new("floating-input", $"reads {reads.Value}", its.Value));
        }
        if (Figures(
            part, Must("rise-delay", "rise-delay: { typical: 9 ns, source: … }"), Must("fall-delay", "fall-delay: { typical: 12 ns, source: … }"),
            Must("input-low", "input-low: { maximum: 0.8 V, source: … }"), Must("input-high", "input-high: { minimum: 2.0 V, source: … }"),
            Must("output-low", "output-low: { maximum: 0.4 V, source: … }"), Must("output-high", "output-high: { minimum: 2.4 V, source: … }"),
            May("input-low-current"), May("input-high-current")) is not { } figures)
        {
            return null;
        }
        var rise = ReadDelay(figures, "rise-delay");
        var fall = ReadDelay(figures, "fall-delay");
        var inputLow = ReadFigure(figures, "input-low", "maximum");
        var inputHigh = ReadFigure(figures, "input-high", "minimum");
        var limits = _quantities.Volts(inputLow?.Value) is { } low && _quantities.Volts(inputHigh?.Value) is { } high
            ? new LevelLimits(low.Value, high.Value, inputLow!.Source == inputHigh!.Source ? inputLow.Source : $"{inputLow.Source}; {inputHigh.Source}")
            : null;
        if (limits is not null && limits.LowMaximum >= limits.HighMinimum)
        {
            _errors.Add(inputHigh!.Value!, $"high begins at {limits.HighMinimum}, below the end of low at {limits.LowMaximum}", "write the two limits the other way round");
            return null;
        }
        var outputLow = _quantities.Volts(ReadFigure(figures, "output-low", "maximum")?.Value);
        var outputHigh = _quantities.Volts(ReadFigure(figures, "output-high", "minimum")?.Value);
        var current = _quantities.Amperes(ReadFigure(figures, "input-low-current", "maximum")?.Value);
        var highCurrent = _quantities.Amperes(ReadFigure(figures, "input-high-current", "maximum")?.Value);
        if (inverting is null || sections is null || rise is null || fall is null || limits is null || outputLow is null || outputHigh is null)
            return null;
        return new(name, description, source, inverting.Value, sections.Value, rise, fall, limits, outputLow.Value, outputHigh.Value)
        {
            FloatingInput = floating,
            InputLowCurrentMaximum = current?.Value,
            InputHighCurrentMaximum = highCurrent?.Value,
        };
    }

    private ImmutableArray<BufferSection>? ReadSections(MapReader part)
    {
        if (part["sections"] is not { } node)
            return null;
        if (node is not ListNode list || list.Items.IsEmpty)
        {
            _errors.Add(node.Place, "sections", $"{node.Kind} stands here", "list the sections: '- { input: 2, output: 18, enable: 1 }'");
            return null;
        }
        var sections = ImmutableArray.CreateBuilder<BufferSection>();
        var pins = new HashSet<string>();
        for (var i = 0; i < list.Items.Length; i++)
        {
            if (MapReader.Open(list.Items[i], $"sections[{i + 1}]", _errors, Must("input", "input: 2"), Must("output", "output: 18"), May("enable")) is not { } section)
                continue;
            if (section.Text("input") is not { } input || section.Text("output") is not { } output)
                continue;
            foreach (var pin in new[] { input, output })
            {
                if (!pins.Add(pin.Value))
                    _errors.Add(pin, $"pin {pin.Value} belongs to another section already", "a pin is the input or output of one section only");
            }
            sections.Add(new(input.Value, output.Value, section.Text("enable")?.Value));
        }
        return sections.Count == list.Items.Length ? sections.ToImmutable() : null;
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
            Must("on-delay-per-kohm", "on-delay-per-kohm: { typical: 0.2 us, source: … }"),
            Must("off-delay-per-kohm", "off-delay-per-kohm: { typical: 9 us, source: … }")) is not { } figures)
        {
            return null;
        }
        var forward = _quantities.Volts(ReadFigure(figures, "led-forward", "typical")?.Value);
        var current = _quantities.Amperes(ReadFigure(figures, "led-current", "maximum")?.Value);
        var ratio = _quantities.Fraction(ReadFigure(figures, "transfer-ratio", "minimum")?.Value);
        var saturation = _quantities.Volts(ReadFigure(figures, "saturation", "maximum")?.Value);
        var on = ReadDelay(figures, "on-delay");
        var off = ReadDelay(figures, "off-delay");
        var onSlope = _quantities.Duration(ReadFigure(figures, "on-delay-per-kohm", "typical")?.Value);
        var offSlope = _quantities.Duration(ReadFigure(figures, "off-delay-per-kohm", "typical")?.Value);
        if (pins?.Text("anode") is not { } anode || pins.Text("cathode") is not { } cathode || pins.Text("emitter") is not { } emitter
            || pins.Text("collector") is not { } collector || forward is null || current is null || ratio is null || saturation is null || on is null
            || off is null || onSlope is null || offSlope is null)
        {
            return null;
        }
        return new(
            name, description, source, anode.Value, cathode.Value, collector.Value, emitter.Value, forward.Value, ratio.Value, saturation.Value,
            current.Value, on, off, onSlope.Value.Scaled(1e-3), offSlope.Value.Scaled(1e-3));
    }

    private DriverType? ReadDriver(MapReader part, string name, string description, string source)
    {
        var highSide = part.Choice("side", [("high", true), ("low", false)]);
        if (Figures(part, Must("on-delay", "on-delay: { typical: 2 us, source: … }"), Must("off-delay", "off-delay: { typical: 8 us, source: … }")) is not { } figures)
            return null;
        var on = ReadDelay(figures, "on-delay");
        var off = ReadDelay(figures, "off-delay");
        return highSide is null || on is null || off is null ? null : new(name, description, source, highSide.Value, on, off);
    }

    private RelayType? ReadRelay(MapReader part, string name, string description, string source)
    {
        if (Figures(
            part, Must("coil", "coil: { typical: 24 V, source: … }"), Must("operate-delay", "operate-delay: { typical: 8 ms, source: … }"),
            Must("release-delay", "release-delay: { typical: 5 ms, source: … }"), BouncesRule, SettlingRule) is not { } figures)
        {
            return null;
        }
        var coil = _quantities.Volts(ReadFigure(figures, "coil", "typical")?.Value);
        var operate = ReadDelay(figures, "operate-delay");
        var release = ReadDelay(figures, "release-delay");
        var bounce = ReadBounce(figures);
        return coil is null || operate is null || release is null || bounce is null
            ? null
            : new(name, description, source, coil.Value, operate, release, bounce);
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

    private sealed record ReadText(Written<string>? Value, string Source);

    /// <summary>A figure of which one bound counts; others may be noted beside it.</summary>
    private ReadText? ReadFigure(MapReader figures, string key, string bound)
    {
        var others = Bounds.Where(other => other != bound).Select(other => May(other));
        return OpenFigure(figures, key, [Must(bound, $"{bound}: …"), .. others]) is { } figure
            ? new(figure.Text(bound), figure.Text("source")?.Value ?? "")
            : null;
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
