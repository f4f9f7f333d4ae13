using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>What is broken on the simulated bench. Built from words and checked against the board: only what can be there can break.</summary>
public sealed class FaultPlan
{
    private const double SlowFactor = 3, LostShare = 0.5;

    private readonly Dictionary<string, SectionFault> _sections = [];
    private readonly Dictionary<string, ContactFault> _contacts = [];
    private readonly List<(string First, string Second)> _bridges = [];
    private readonly HashSet<string> _openLeads = [];
    private readonly HashSet<(string Multiplexer, int Address)> _openInputs = [];
    private readonly Dictionary<(string Multiplexer, int Bit), bool> _stuckSelects = [];

    private FaultPlan()
    {
    }

    /// <summary>Nothing is broken.</summary>
    public static FaultPlan None { get; } = new();

    /// <summary>Nets joined by mistake, by the names of their test points or outputs.</summary>
    internal IReadOnlyList<(string First, string Second)> Bridges => _bridges;

    /// <summary>The fault of a section, by the name of its output.</summary>
    internal SectionFault OfSection(string output) => _sections.GetValueOrDefault(output);

    internal ContactFault OfContact(string name) => _contacts.GetValueOrDefault(name);

    internal bool IsOpen(TestPoint point) => _openLeads.Contains(point.Name)
        || (point.Through is { } through && _openInputs.Contains((through.Multiplexer.Name, through.Address)));

    /// <summary>What a multiplexer makes of the address at its select pins.</summary>
    internal int AddressAt(Multiplexer multiplexer, int address)
    {
        for (var bit = 0; bit < multiplexer.Type.SelectCount; bit++)
        {
            if (_stuckSelects.TryGetValue((multiplexer.Name, bit), out var high))
                address = high ? address | (1 << bit) : address & ~(1 << bit);
        }
        return address;
    }

    /// <summary>Reads faults as they are written on the command line, e.g. "OK3=dead", "U3:18=stuck-low", "lead:U3.16=open".</summary>
    /// <returns>The plan, null when there is an error; and all errors, each naming what would be possible.</returns>
    public static (FaultPlan? Plan, ImmutableArray<string> Errors) Of(Board board, IEnumerable<string> written)
    {
        var plan = new FaultPlan();
        var errors = ImmutableArray.CreateBuilder<string>();
        foreach (var text in written)
        {
            if (plan.Add(board, text) is { } problem)
                errors.Add($"--fault '{text}': {problem}");
        }
        return errors.Count > 0 ? (null, errors.ToImmutable()) : (plan, []);
    }

    /// <summary>Every net that can be bridged: outputs and test points, supplies left out.</summary>
    private static ImmutableArray<string> NetsOf(Board board) =>
    [
        .. board.Channels.SelectMany(channel => channel.Stages.Select(stage => stage.OutputName))
            .Concat(board.TestPoints.Select(point => point.Name))
            .Except(board.Supplies.Select(supply => supply.SensedAt?.Name).OfType<string>())
            .Distinct(),
    ];

    private string? Add(Board board, string text)
    {
        var equals = text.IndexOf('=', StringComparison.Ordinal);
        if (equals <= 0 || equals == text.Length - 1)
            return "write WHAT=HOW, for example OK3=dead, U3:18=stuck-low, net:U3.18+U3.16=bridged or lead:U3.16=open.";
        var (what, how) = (text[..equals], text[(equals + 1)..]);
        if (what.StartsWith("net:", StringComparison.Ordinal))
            return AddBridge(board, what["net:".Length..], how);
        if (what.StartsWith("lead:", StringComparison.Ordinal))
            return AddOpenLead(board, what["lead:".Length..], how);

        var colon = what.IndexOf(':', StringComparison.Ordinal);
        var (name, pin) = colon < 0 ? (what, null) : (what[..colon], what[(colon + 1)..]);
        if (board.Multiplexers.FirstOrDefault(known => known.Name == name) is { } multiplexer)
            return AddMultiplexer(multiplexer, pin, how);
        var part = board.Parts.FirstOrDefault(known => known.Name == name);
        return part switch
        {
            null => $"there is no part '{name}'. Parts: {Listed(board.Parts.Select(known => known.Name))}. Also: net:NET+NET=bridged, lead:TESTPOINT=open.",
            SwitchPart contact => AddContact(board, contact, pin, how),
            _ => AddSections(board, part, pin, how),
        };
    }

    private string? AddBridge(Board board, string nets, string how)
    {
        if (how != "bridged")
            return $"nets cannot be '{how}'; they can be: bridged.";
        var known = NetsOf(board);
        if (nets.Split('+') is not [var first, var second] || first == second)
            return $"write two different nets: net:NET+NET=bridged. Nets: {Listed(known)}.";
        if (new[] { first, second }.FirstOrDefault(net => !known.Contains(net)) is { } unknown)
            return $"there is no net '{unknown}'. Nets: {Listed(known)}.";
        _bridges.Add((first, second));
        return null;
    }

    private string? AddOpenLead(Board board, string name, string how)
    {
        if (how != "open")
            return $"a lead cannot be '{how}'; it can be: open.";
        var leads = board.TestPoints.Where(point => point.AdapterPin is not null).Select(point => point.Name).ToImmutableArray();
        if (!leads.Contains(name))
            return $"no lead goes to '{name}'. Leads go to: {Listed(leads)}.";
        _openLeads.Add(name);
        return null;
    }

    private string? AddMultiplexer(Multiplexer multiplexer, string? pin, string how)
    {
        var inputs = Enumerable.Range(0, multiplexer.Type.InputCount);
        if (pin is null && how == "dead")
        {
            _openInputs.UnionWith(inputs.Select(address => (multiplexer.Name, address)));
            return null;
        }
        var (kind, number) = pin is ['Y' or 'S', .. var digits] && int.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out var parsed) ? (pin[0], parsed) : (' ', -1);
        if (kind == 'Y' && inputs.Contains(number) && how == "open")
            return _openInputs.Add((multiplexer.Name, number)) ? null : $"{multiplexer.Name}:{pin} has a fault already; give each input one.";
        if (kind == 'S' && number < multiplexer.Type.SelectCount && how is "stuck-low" or "stuck-high")
            return _stuckSelects.TryAdd((multiplexer.Name, number), how == "stuck-high") ? null : $"{multiplexer.Name}:{pin} has a fault already; give each select pin one.";
        return $"a multiplexer cannot be so; write {multiplexer.Name}=dead, {multiplexer.Name}:Y0=open, {multiplexer.Name}:S0=stuck-low or {multiplexer.Name}:S0=stuck-high.";
    }

    private string? AddContact(Board board, SwitchPart contact, string? pin, string how)
    {
        if (pin is not null)
            return $"a switch has one contact: write {contact.Name}={how}.";
        if (board.TestPoints.All(point => point.Name != contact.Name))
            return $"{contact.Name} is at no test point of this profile, so nothing could be seen of it.";
        ContactFault? mode = how switch
        {
            "bouncing" => ContactFault.Bouncing,
            "stuck-low" => ContactFault.StuckLow,
            "stuck-high" => ContactFault.StuckHigh,
            _ => null,
        };
        if (mode is not { } known)
            return $"{contact.Name}, a switch, cannot be '{how}'; it can be: bouncing, stuck-low, stuck-high.";
        return _contacts.TryAdd(contact.Name, known) ? null : $"{contact.Name} has a fault already; give each part one.";
    }

    private string? AddSections(Board board, Part part, string? pin, string how)
    {
        var outputs = board.Channels.SelectMany(channel => channel.Stages).Where(stage => stage.Part == part).Select(stage => stage.OutputName).Distinct().ToList();
        if (outputs.Count == 0)
            return $"no channel of this profile passes {part.Name}.";
        if (pin is not null)
        {
            var pins = outputs.Select(output => output[(part.Name.Length + 1)..]);
            if (!outputs.Contains($"{part.Name}.{pin}"))
                return $"pin {pin} of {part.Name} is no output that a channel of this profile passes. Such pins: {Listed(pins)}.";
            outputs = [$"{part.Name}.{pin}"];
        }
        if (part is RelayPart && pin is null && how == "bouncing")
            return _contacts.TryAdd(part.Name, ContactFault.Bouncing) ? null : $"{part.Name} has a fault already; give each part one.";
        if (ModeOf(part, pin, how) is not { } fault)
        {
            var kind = part switch { BufferPart => "a buffer", IsolatorPart => "an isolator", RelayPart => "a relay", _ => "a driver" };
            return $"{(pin is null ? part.Name : $"{part.Name}:{pin}")}, {kind}, cannot be '{how}'; it can be: {Listed(Possible(part, pin))}.";
        }
        return outputs.TrueForAll(output => _sections.TryAdd(output, fault)) ? null : $"{outputs.Find(_sections.ContainsKey)} has a fault already; give each section one.";
    }

    private static IEnumerable<string> Possible(Part part, string? pin)
    {
        yield return "dead";
        yield return "stuck-low";
        yield return "stuck-high";
        if (part is BufferPart)
            yield return "inverted";
        yield return part is RelayPart ? "bouncing" : "weak";
        yield return "slow (or slow:5x)";
        yield return "intermittent (or intermittent:0.3)";
        if (part is BufferPart)
            yield return pin is null ? "no-supply" : $"no-supply (only the whole package: {part.Name}=no-supply)";
    }

    private static SectionFault? ModeOf(Part part, string? pin, string how)
    {
        var colon = how.IndexOf(':', StringComparison.Ordinal);
        var (mode, amount) = colon < 0 ? (how, null) : (how[..colon], how[(colon + 1)..]);
        return mode switch
        {
            "slow" => Amount(amount is null ? null : amount.EndsWith('x') ? amount[..^1] : "", SlowFactor, 1, 1000) is { } factor
                ? new(SectionFaultMode.Slow, factor) : null,
            "intermittent" => Amount(amount, LostShare, 0, 1) is { } share ? new(SectionFaultMode.Intermittent, share) : null,
            _ when amount is not null => null,
            "dead" => new(SectionFaultMode.Dead, 0),
            "stuck-low" => new(SectionFaultMode.StuckLow, 0),
            "stuck-high" => new(SectionFaultMode.StuckHigh, 0),
            "weak" when part is not RelayPart => new(SectionFaultMode.Weak, 0),
            "inverted" when part is BufferPart => new(SectionFaultMode.Inverted, 0),
            "no-supply" when part is BufferPart && pin is null => new(SectionFaultMode.NoSupply, 0),
            _ => null,
        };
    }

    /// <summary>Null when it is no number in the range.</summary>
    private static double? Amount(string? written, double otherwise, double least, double most) => written is null ? otherwise
        : double.TryParse(written, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var amount) && amount >= least && amount <= most ? amount
        : null;

    private static string Listed(IEnumerable<string> names) => string.Join(", ", names);
}
