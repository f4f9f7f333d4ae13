using System.Collections.Immutable;
using System.Text.RegularExpressions;

namespace TestRig.Bench.Files;

/// <summary>Reads the wire form of a profile: keys, words and quantities. Names are looked up later, by <see cref="BoardBuilder"/>.</summary>
internal sealed partial class ProfileReader
{
    public const string Format = "testrig-profile/1";

    private readonly ErrorList _errors;
    private readonly QuantityReader _quantities;

    public ProfileReader(ErrorList errors)
    {
        _errors = errors;
        _quantities = new(errors);
    }

    /// <summary>Null when the file is not even a group of keys.</summary>
    public static ProfileDocument? Read(DocumentNode root, ErrorList errors) => new ProfileReader(errors).ReadRoot(root);

    /// <summary>What a profile and a file of points say alike: name, controller, multiplexers, lines kept apart, stop inputs, cautions. All else is empty.</summary>
    public ProfileDocument ReadSetUp(MapReader root) => new(
        (root["board"] is { } board ? MapReader.Open(board, "board", _errors, ProfileKeys.Board) : null)?.Text("name"), ReadController(root), [], [], [], [],
        Named(root, "multiplexers", ReadMultiplexer), [], null, ReadKeptApart(root), Named(root, "stops", ReadStop), [],
        [.. (root.Texts("cautions") ?? []).Select(caution => caution.Value)]);

    /// <summary>The format comes first in a file, so that a reader of another version need not guess at the rest.</summary>
    public static void CheckFormat(MapReader root, string expected, ErrorList errors)
    {
        if (root.Text("format") is not { } format)
            return;
        if (format.Value != expected)
            errors.Add(format, $"the format '{format.Value}' is not known", $"this version of TestRig reads '{expected}'");
        if (root.FirstKey != "format")
            errors.Add(format, "'format' is not the first key", $"begin the file with 'format: {expected}'");
    }

    private ProfileDocument? ReadRoot(DocumentNode node)
    {
        if (MapReader.Open(node, "", _errors, ProfileKeys.Root) is not { } root)
        {
            return null;
        }
        CheckFormat(root, Format, _errors);
        var document = ReadSetUp(root) with
        {
            Supplies = Named(root, "supplies", ReadSupply),
            Grounds = Named(root, "grounds", ReadGround),
            Parts = Named(root, "parts", ReadPart),
            Lines = Named(root, "lines", ReadLine),
            TestPoints = Named(root, "test-points", ReadTestPoint),
            LinesOnTogether = Positive(_quantities.Count(root.Text("lines-on-together"))),
            Channels = Named(root, "channels", ReadChannel),
            Socket = ReadSocket(root),
            Recordings = ReadRecordings(root),
        };
        if (document.Channels.IsEmpty && root["channels"] is MapNode { Entries.IsEmpty: true } empty)
            _errors.Add(empty.Place, "channels", "there is no channel", "describe at least one: from its line along its path");
        return document;
    }

    private ImmutableArray<T> Named<T>(MapReader root, string key, Func<Written<string>, DocumentNode, T> read) =>
        [.. MapReader.Names(root[key], key, _errors, key).Select(entry => read(entry.Name, entry.Value))];

    private WrittenController? ReadController(MapReader root)
    {
        if (root["controller"] is not { } node || MapReader.Open(node, "controller", _errors, ProfileKeys.Controller) is not { } keys)
            return null;
        return new(new("", keys.Place, "controller"), keys.Text("disabled-by"), keys.Text("sensed-at"), keys.Level("is"));
    }

    private WrittenRecordings? ReadRecordings(MapReader root)
    {
        if (root["recordings"] is not { } node || MapReader.Open(node, "recordings", _errors, ProfileKeys.Recordings) is not { } keys)
            return null;
        var time = keys["time"] is { } timeNode ? MapReader.Open(timeNode, keys.PathOf("time"), _errors, ProfileKeys.RecordedTime) : null;
        var tolerance = keys.Text("clock-tolerance");
        return new(
            [.. MapReader.Names(keys["signals"], keys.PathOf("signals"), _errors, "test points").Select(entry => ReadRecordedSignal(entry.Name, entry.Value))],
            time?.Text("column"), time?.Choice("unit", ProfileKeys.TimeUnits), Positive(_quantities.Duration(keys.Text("resolution"))),
            // It is ± anyway.
            _quantities.Fraction(tolerance is null ? null : tolerance with { Value = tolerance.Value.TrimStart('±', ' ') }));
    }

    private WrittenRecordedSignal ReadRecordedSignal(Written<string> point, DocumentNode node)
    {
        var keys = MapReader.Open(node, point.KeyPath, _errors, ProfileKeys.RecordedSignal);
        return new(
            point, keys?.Text("name"), keys?.Choice("unit", ProfileKeys.VoltageUnits), _quantities.Volts(keys?.Text("low-at-most")), _quantities.Volts(keys?.Text("high-at-least")));
    }

    private WrittenSupply ReadSupply(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Supply);
        // Left out, it is no supply of motors; that at least one is, where lines move something, is checked later.
        var motion = keys?["motion"] is null ? new(false, name.Place, name.KeyPath) : keys.TrueOrFalse("motion");
        return new(name, _quantities.VoltsWithTolerance(keys?.Text("volts")), keys?.Text("sensed-at"), motion);
    }

    private WrittenGround ReadGround(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Ground);
        return new(name, keys?.Text("isolated-from"), keys?.Text("bridged-because"));
    }

    private WrittenPart ReadPart(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Part);
        return new(
            name, keys?.Text("type"), keys?.Text("supply"), ReadLed(keys), ReadOutput(keys), NotZero(_quantities.Ohms(keys?.Text("load"))),
            NotZero(_quantities.Ohms(keys?.Text("pull-up"))), ReadTied(keys));
    }

    private ImmutableArray<WrittenTie> ReadTied(MapReader? part)
    {
        if (part?["tied"] is null)
            return [];
        var ties = ImmutableArray.CreateBuilder<WrittenTie>();
        foreach (var (pin, node) in MapReader.Names(part["tied"], part.PathOf("tied"), _errors, "pins"))
        {
            var text = MapReader.TextOf(node, pin.KeyPath, _errors);
            var form = TieForm().Match(text?.Value ?? "");
            if (text is not null && !form.Success)
                _errors.Add(text, $"'{text.Value}' does not say what the pin is wired to", "write a supply, 'ground', or a test point and its level: 'J2.7 is low'");
            Core.Quantities.Level? level = form.Groups["level"].Value switch { "low" => Core.Quantities.Level.Low, "high" => Core.Quantities.Level.High, _ => null };
            ties.Add(new(pin, form.Success ? text! with { Value = form.Groups["to"].Value } : null, level));
        }
        return ties.ToImmutable();
    }

    private Written<Core.Quantities.Ohms>? NotZero(Written<Core.Quantities.Ohms>? resistor)
    {
        if (resistor is null || resistor.Value.Value > 0)
            return resistor;
        _errors.Add(resistor, "0 ohm is a short circuit to its supply", "write the resistance of what is there, for example '400 ohm' for a coil");
        return null;
    }

    private Written<WrittenLed?>? ReadLed(MapReader? part)
    {
        if (part?["led"] is not { } node)
            return null;
        var led = MapReader.Open(node, part.PathOf("led"), _errors, ProfileKeys.Led);
        return new(led is null ? null : new(led.Text("from"), _quantities.Ohms(led.Text("resistor"))), node.Place, part.PathOf("led"));
    }

    private Written<WrittenOutput?>? ReadOutput(MapReader? part)
    {
        if (part?["output"] is not { } node)
            return null;
        var output = MapReader.Open(node, part.PathOf("output"), _errors, ProfileKeys.Output);
        return new(
            output is null
                ? null
                : new(output.Text("from"), _quantities.Ohms(output.Text("load")), output["taken-at"] is not null, output.Choice("taken-at", ProfileKeys.TakenAtWords)),
            node.Place,
            part.PathOf("output"));
    }

    private WrittenLine ReadLine(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Line);
        var hold = new WrittenHold(
            keys is null || keys["pull-up"] is not null || keys["pull-down"] is not null || keys["held-low-by"] is not null || keys["floats-to"] is not null,
            _quantities.ResistorToSupply(keys?.Text("pull-up")),
            _quantities.Ohms(keys?.Text("pull-down")),
            keys?.Text("held-low-by"),
            keys?.Level("floats-to"));
        return new(
            name, keys?.Text("adapter"), keys?.Level("idle"), keys?.TrueOrFalse("motion"), Positive(_quantities.Duration(keys?.Text("longest-on"))),
            _quantities.Duration(keys?.Text("rest")), hold, _quantities.Ohms(keys?.Text("series")));
    }

    private WrittenMultiplexer ReadMultiplexer(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Multiplexer);
        return new(name, keys?.Text("type"), keys?.Text("common"), [.. keys?.Texts("select") ?? []]);
    }

    private WrittenTestPoint ReadTestPoint(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.TestPoint);
        var divider = _quantities.Divider(keys?.Text("divider"));
        return new(name, keys?.Text("adapter"), divider, divider is null && keys?["divider"] is not null, _quantities.Ohms(keys?.Text("series")), keys?.Text("ground"), keys?.Text("supply"));
    }

    private ImmutableArray<(Written<string>, Written<string>)> ReadKeptApart(MapReader root)
    {
        if (root["keep-apart"] is not { } node)
            return [];
        if (node is not ListNode list)
        {
            _errors.Add(node.Place, "keep-apart", $"{node.Kind} stands here", "list the pairs: 'keep-apart: [ [rotate-left, rotate-right] ]'");
            return [];
        }
        var pairs = ImmutableArray.CreateBuilder<(Written<string>, Written<string>)>();
        for (var i = 0; i < list.Items.Length; i++)
        {
            var path = $"keep-apart[{i + 1}]";
            if (list.Items[i] is not ListNode { Items: [var first, var second] })
            {
                _errors.Add(list.Items[i].Place, path, "this is not a pair of lines", "write two names: '[rotate-left, rotate-right]'");
                continue;
            }
            if (MapReader.TextOf(first, $"{path}[1]", _errors) is { } a && MapReader.TextOf(second, $"{path}[2]", _errors) is { } b)
                pairs.Add((a, b));
        }
        return pairs.ToImmutable();
    }

    private WrittenSocket? ReadSocket(MapReader root)
    {
        if (root["socket"] is not { } node || MapReader.Open(node, "socket", _errors, ProfileKeys.Socket) is not { } keys)
            return null;
        var ratio = keys["ratio-load"] is { } ratioNode ? MapReader.Open(ratioNode, keys.PathOf("ratio-load"), _errors, ProfileKeys.RatioLoad) : null;
        var delay = keys["delay-load"] is { } delayNode ? MapReader.Open(delayNode, keys.PathOf("delay-load"), _errors, ProfileKeys.DelayLoad) : null;
        return new(
            new("", keys.Place, "socket"), keys.Text("part"), keys.Text("anode"), keys.Text("cathode"), keys.Text("sink"), ReadOver(_quantities.Ohms(ratio?.Text("resistor")), "150 ohm"),
            ratio?.Text("adapter"), ratio?.Text("low-end"), delay?.Text("adapter"), ReadOver(_quantities.Ohms(keys.Text("bleeder")), "1 Mohm"), ToleranceOf(_quantities.Fraction(keys.Text("tolerance"))));
    }

    /// <summary>A resistor over which a current is read.</summary>
    private Written<Core.Quantities.Ohms>? ReadOver(Written<Core.Quantities.Ohms>? resistor, string example)
    {
        if (resistor is null || resistor.Value.Value > 0)
            return resistor;
        _errors.Add(resistor, "over 0 ohm no current can be read", $"write the resistance of what is fitted, for example '{example}'");
        return null;
    }

    /// <summary>Of a resistor that is measured with; those in trade are of ±20 % at most (E6 of IEC 60063).</summary>
    private Written<double>? ToleranceOf(Written<double>? tolerance)
    {
        const double Widest = 0.2;
        if (tolerance is not { Value: <= 0 or > Widest })
            return tolerance;
        _errors.Add(tolerance, tolerance.Value <= 0 ? "no resistor is exact" : "a resistor that may be so far off tells no current", "write the tolerance that is printed on the resistors, up to 20 %, for example '1 %'");
        return null;
    }

    private WrittenStop ReadStop(Written<string> point, DocumentNode node)
    {
        var keys = MapReader.Open(node, point.KeyPath, _errors, ProfileKeys.Stop);
        var all = keys?["ends"] is TextNode { Text: ProfileKeys.AllLines };
        var ends = all ? [] : keys?.Texts("ends") ?? [];
        if (keys?["ends"] is ListNode { Items.IsEmpty: true } empty)
            _errors.Add(empty.Place, keys.PathOf("ends"), "this stop input ends no line", "name the lines that it ends, or write 'all'");
        return new(point, keys?.Level("goes"), all, [.. ends]);
    }

    private WrittenChannel ReadChannel(Written<string> name, DocumentNode node)
    {
        var keys = MapReader.Open(node, name.KeyPath, _errors, ProfileKeys.Channel);
        var drive = keys?.Text("drive");
        var parts = drive is null ? null : DriveForm().Match(drive.Value);
        if (parts is { Success: false })
            _errors.Add(drive!, $"'{drive!.Value}' does not say what drives and where", "write 'LINE at TESTPOINT', for example 'rotate-left at J1.2'");
        var driven = parts is { Success: true };
        var exercise = keys?["exercise"] is { } exerciseNode
            ? MapReader.Open(exerciseNode, keys.PathOf("exercise"), _errors, ProfileKeys.Exercise)
            : null;
        return new(
            name,
            driven ? drive! with { Value = parts!.Groups["line"].Value } : null,
            driven ? drive! with { Value = parts!.Groups["point"].Value } : null,
            ReadPath(keys),
            Positive(_quantities.Duration(exercise?.Text("motion-on"))),
            keys?["exercise"] is not null,
            keys?.Text("undone-by"),
            keys is null ? [] : [.. MapReader.Names(keys["feedback"], keys.PathOf("feedback"), _errors, "test points").Select(entry => ReadFeedback(entry.Name, entry.Value))],
            keys is null ? [] : [.. MapReader.Names(keys["expect"], keys.PathOf("expect"), _errors, "outputs").Select(entry => ReadOverride(entry.Name, entry.Value))]);
    }

    private ImmutableArray<WrittenSection?> ReadPath(MapReader? channel)
    {
        if (channel?.Texts("path") is not { } texts)
            return [];
        if (texts.Count == 0)
            _errors.Add(channel["path"]!.Place, channel.PathOf("path"), "the path has no stage", "name the sections that the command passes: '[ U3 2>18, OK1, Q1 ]'");
        var sections = ImmutableArray.CreateBuilder<WrittenSection?>();
        foreach (var text in texts)
        {
            var form = SectionForm().Match(text.Value);
            if (!form.Success)
                _errors.Add(text, $"'{text.Value}' is not a section", "write 'PART INPUT>OUTPUT' by pin numbers, for example 'U3 2>18', or the part alone: 'Q1'");
            sections.Add(
                form.Success
                    ? new(text with { Value = form.Groups["part"].Value }, form.Groups["in"] is { Success: true } i ? i.Value : null, form.Groups["out"] is { Success: true } o ? o.Value : null)
                    : null);
        }
        return sections.ToImmutable();
    }

    private WrittenFeedback ReadFeedback(Written<string> point, DocumentNode node)
    {
        // Either pulses or a contact: what is there decides which keys are required.
        var ofPulses = node is MapNode map && map.Entries.Any(entry => entry.Key.Text is "pulses" or "within");
        var keys = ofPulses
            ? MapReader.Open(node, point.KeyPath, _errors, ProfileKeys.PulseFeedback)
            : MapReader.Open(node, point.KeyPath, _errors, ProfileKeys.SwitchFeedback);
        return ofPulses
            ? new(point, true, _quantities.CountRange(keys?.Text("pulses")), Positive(_quantities.Duration(keys?.Text("within"))), null, null, null)
            : new(
                point, false, null, null, _quantities.CountAtMost(keys?.Text("bounces")), Positive(_quantities.Duration(keys?.Text("settles-within"))),
                Positive(_quantities.Duration(keys?.Text("debounce"))));
    }

    private WrittenOverride ReadOverride(Written<string> point, DocumentNode node)
    {
        var keys = MapReader.Open(node, point.KeyPath, _errors, ProfileKeys.Override);
        if (keys is not null && keys["rises"] is null && keys["falls"] is null)
            _errors.Add(keys.Place, point.KeyPath, "nothing is overridden", "write the window, for example 'falls: 0..25 us'");
        return new(point, _quantities.DurationRange(keys?.Text("rises")), _quantities.DurationRange(keys?.Text("falls")), keys?.Text("because"));
    }

    private Written<Core.Quantities.Duration>? Positive(Written<Core.Quantities.Duration>? duration)
    {
        if (duration is null || duration.Value > Core.Quantities.Duration.Zero)
            return duration;
        _errors.Add(duration, "a time of 0 makes no sense here", "write how long, for example '400 ms'");
        return null;
    }

    private Written<int>? Positive(Written<int>? count)
    {
        if (count is null || count.Value > 0)
            return count;
        _errors.Add(count, "0 makes no sense here", "write how many, at least 1");
        return null;
    }

    [GeneratedRegex(ProfileKeys.DrivePattern)]
    private static partial Regex DriveForm();

    [GeneratedRegex(ProfileKeys.TiePattern)]
    private static partial Regex TieForm();

    [GeneratedRegex(ProfileKeys.SectionPattern)]
    private static partial Regex SectionForm();
}
