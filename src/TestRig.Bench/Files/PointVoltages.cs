using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>
/// Works out how high each test point can go on a good board, from the supply of what drives it, and refuses what would put too much on
/// an adapter pin. Works on the wire form, because a supply refers to the test point where it is sensed.
/// </summary>
internal sealed class PointVoltages(ProfileDocument document, PartLibrary library, ErrorList errors)
{
    /// <summary>The adapter is not known yet: one that runs from 5 V is assumed, and an adapter with other pins refuses the profile when it is attached.</summary>
    private static readonly Volts AdapterPinMaximum = PinVoltage.FiveVoltMaximum;

    /// <summary>A line is driven by the adapter itself.</summary>
    private static readonly Volts AdapterSupply = new(5);

    /// <summary>Null when unknown; then it has been reported, or the entry that would tell it is broken.</summary>
    public Volts? HighestAt(WrittenTestPoint point)
    {
        var name = point.Name.Value;
        if (document.Supplies.FirstOrDefault(supply => supply.SensedAt?.Value == name) is { } sensed)
            return Given(point, $"supply '{sensed.Name.Value}' is sensed here", sensed);
        if (document.Channels.FirstOrDefault(channel => channel.DrivenAt?.Value == name)?.Line is { } driver)
        {
            var line = document.Lines.FirstOrDefault(known => known.Name.Value == driver.Value);
            RefuseSupply(point, $"line '{driver.Value}' is driven here");
            return line?.Hold.PullUp is { } pullUp ? Maximum(Find(pullUp.Value.Supply.Value)) : AdapterSupply;
        }
        var dot = name.LastIndexOf('.');
        var part = dot < 0 ? null : document.Parts.FirstOrDefault(known => known.Name.Value == name[..dot]);
        return part is null ? Declared(point) : OfPart(point, part, name[(dot + 1)..]);
    }

    /// <summary>Reports a pin that would get too much.</summary>
    public void CheckRange(WrittenTestPoint written, TestPoint point)
    {
        if (point.HighestAtAdapter is not { } reached || reached <= AdapterPinMaximum)
            return;
        var highest = point.Highest!.Value;
        var remedy = document.Channels.Any(channel => channel.DrivenAt?.Value == point.Name)
            ? $"the adapter drives this point and takes at most {AdapterPinMaximum}: pull it up to a 5 V supply"
            : Divider.For(highest, AdapterSupply) is { } divider
                ? $"put a divider in the lead, for example 'divider: {divider.Upper} / {divider.Lower}' (at most {new Volts(highest.Value * divider.HighestRatio)} at the pin)"
                : "this cannot be sampled through a plain divider";
        var how = point.Divider is null ? $"reaches {highest} and has no divider" : $"reaches {highest}, which is up to {reached} behind its divider";
        var at = written.Divider is { } d ? (d.Place, d.KeyPath) : (written.Name.Place, written.Name.KeyPath);
        errors.Add(at.Place, at.KeyPath, $"{point.Name} {how}; an adapter pin takes at most {AdapterPinMaximum}", remedy);
    }

    private Volts? OfPart(WrittenTestPoint point, WrittenPart part, string pin)
    {
        if (part.Type is null || !library.Types.TryGetValue(part.Type.Value, out var type))
            return null;
        (string Pin, Written<string>? Supply)[] pins = type switch
        {
            BufferType buffer =>
            [
                .. buffer.Sections.SelectMany(section => new[] { section.Input, section.Output, section.Enable })
                    .Where(number => number is not null).Distinct().Select(number => (number!, part.Supply)),
            ],
            IsolatorType isolator =>
            [
                (isolator.AnodePin, part.Led?.Value?.From), (isolator.CathodePin, part.Led?.Value?.From),
                (isolator.CollectorPin, part.Output?.Value?.From), (isolator.EmitterPin, part.Output?.Value?.From),
            ],
            RelayType => [("NO", part.Supply)],
            DriverType { Sections.IsEmpty: true } => [("B", part.Supply), ("C", part.Supply), ("E", part.Supply)],
            // What reaches the input of an array is the business of whatever drives it.
            DriverType { HasLogicSupply: false } array => [.. array.Sections.Select(section => (section.Output, part.Supply))],
            DriverType open => [.. open.Sections.SelectMany(section => new[] { (section.Input, part.Supply), (section.Output, part.Output?.Value?.From) })],
            _ => [],
        };
        var index = Array.FindIndex(pins, known => known.Pin == pin);
        if (index < 0)
        {
            errors.Add(
                point.Name, $"a {type.Name} has no signal at pin '{pin}'",
                pins.Length == 0 ? $"name the point '{part.Name.Value}'" : $"its pins are {string.Join(", ", pins.Select(known => known.Pin))}");
            return null;
        }
        return pins[index].Supply is { } supply ? Given(point, $"it belongs to {part.Name.Value}, on supply '{supply.Value}'", Find(supply.Value)) : null;
    }

    private Volts? Given(WrittenTestPoint point, string how, WrittenSupply? supply)
    {
        RefuseSupply(point, how);
        return Maximum(supply);
    }

    private void RefuseSupply(WrittenTestPoint point, string how)
    {
        if (point.Supply is { } superfluous)
            errors.Add(superfluous, $"how high '{point.Name.Value}' goes is known already: {how}", "remove 'supply' here");
    }

    private Volts? Declared(WrittenTestPoint point)
    {
        if (point.Supply is not { } name)
        {
            // Where a channel's 'drive' is broken, and reported, this point may be the one that it meant.
            if (document.Channels.Any(channel => channel.DrivenAt is null))
                return null;
            var outputs = document.Parts.SelectMany(OutputsOf).ToArray();
            var near = outputs.Where(output => NearestName.Distance(output, point.Name.Value) == 1).Take(1).ToArray();
            errors.Add(
                point.Name, $"nothing tells how high '{point.Name.Value}' can go",
                near is [var meant] ? $"did you mean '{meant}'? Else name the supply that it is pulled up to: 'supply: logic'" : "name the supply that it is pulled up to: 'supply: logic'");
            return null;
        }
        if (Find(name.Value) is { } supply)
            return Maximum(supply);
        errors.Add(name, $"there is no supply '{name.Value}'", NearestName.Suggest(name.Value, document.Supplies.Select(known => known.Name.Value), "supplies"));
        return null;
    }

    private IEnumerable<string> OutputsOf(WrittenPart part) =>
        part.Type is null || !library.Types.TryGetValue(part.Type.Value, out var type)
            ? []
            : type switch
            {
                BufferType buffer => buffer.Sections.Select(section => $"{part.Name.Value}.{section.Output}"),
                IsolatorType isolator => [$"{part.Name.Value}.{isolator.CollectorPin}", $"{part.Name.Value}.{isolator.EmitterPin}"],
                DriverType { Sections.IsEmpty: true } => [$"{part.Name.Value}.C"],
                DriverType array => array.Sections.Select(section => $"{part.Name.Value}.{section.Output}"),
                RelayType => [$"{part.Name.Value}.NO"],
                _ => [],
            };

    private WrittenSupply? Find(string name) => document.Supplies.FirstOrDefault(supply => supply.Name.Value == name);

    private static Volts? Maximum(WrittenSupply? supply) =>
        supply?.Volts is { Value: var (nominal, tolerance) } ? new(nominal.Value * (1 + tolerance)) : null;
}
