using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>Reads faults, as they are written on the command line, into a plan.</summary>
internal sealed class FaultReader(Board board, FaultPlan plan)
{
    private const string Others =
        "Also: net:NET+NET=bridged, lead:TESTPOINT=open, lead:TESTPOINT=at-NET, lead:TESTPOINT+TESTPOINT=swapped, line:LINE=open, line:LINE=dead, supply:SUPPLY=off, motor:CHANNEL=dead.";

    private readonly PartFaultReader _parts = new(board, plan);

    /// <summary>Null, or what is wrong with the words, with what would be possible.</summary>
    public string? Add(string text)
    {
        var equals = text.IndexOf('=', StringComparison.Ordinal);
        if (equals <= 0 || equals == text.Length - 1)
            return "write WHAT=HOW, for example OK3=dead, U3:18=stuck-low, net:U3.18+U3.16=bridged or lead:U3.16=open.";
        var (what, how) = (text[..equals], text[(equals + 1)..]);
        var colon = what.IndexOf(':', StringComparison.Ordinal);
        var (name, pin) = colon < 0 ? (what, null) : (what[..colon], what[(colon + 1)..]);
        return (name, pin) switch
        {
            ("net", { } nets) => AddBridge(nets, how),
            ("lead", { } points) => points.Contains('+', StringComparison.Ordinal) ? AddSwap(points, how) : AddLead(points, how),
            ("line", { } line) => AddLine(line, how),
            ("supply", { } supply) => AddSupply(supply, how),
            ("motor", { } channel) => AddMotor(channel, how),
            _ => AddNamed(name, pin, how),
        };
    }

    public static string StopsOf(Board board) => board.Stops.IsEmpty ? "This profile has no stop inputs." : $"Stop inputs: {Listed(board.Stops.Select(stop => stop.Point.Name))}.";

    private string? AddNamed(string name, string? pin, string how)
    {
        if (board.Multiplexers.FirstOrDefault(known => known.Name == name) is { } multiplexer)
            return AddMultiplexer(multiplexer, pin, how);
        if (how == "active" && pin is null && board.Stops.FirstOrDefault(known => known.Point.Name == name) is { } stop)
            return plan.Contacts.TryAdd(name, stop.StopsAt == Level.Low ? ContactFault.StuckLow : ContactFault.StuckHigh) ? null : $"{name} has a fault already; give each part one.";
        if (board.Parts.FirstOrDefault(known => known.Name == name) is { } part)
            return _parts.Add(part, pin, how);
        var pickUps = board.Channels.SelectMany(channel => channel.Feedback).OfType<PulseFeedback>().Select(feedback => feedback.Point.Name)
            .Where(point => board.Parts.All(known => known.Name != point)).Distinct().ToList();
        if (pickUps.Contains(name))
            return AddPickUp(name, pin, how);
        if (board.Stops.Any(stop => stop.Point.Name == name))
            return $"{name}, a stop input without a part in this profile, cannot be '{how}'; it can be: active.";
        return $"there is no part '{name}'. Parts: {Listed(board.Parts.Select(known => known.Name))}. {Others} {StopsOf(board)}"
            + (pickUps.Count == 0 ? "" : $" Pick-ups: {Listed(pickUps)}.");
    }

    /// <summary>Every net that can be bridged: outputs and test points, supplies left out.</summary>
    private ImmutableArray<string> Nets() => [.. AllNets().Except(board.Supplies.Select(supply => supply.SensedAt?.Name).OfType<string>())];

    private ImmutableArray<string> AllNets() =>
    [
        .. board.Channels.SelectMany(channel => channel.Stages.Select(stage => stage.OutputName)).Concat(board.TestPoints.Select(point => point.Name)).Distinct(),
    ];

    private string? AddBridge(string nets, string how)
    {
        if (how != "bridged")
            return $"nets cannot be '{how}'; they can be: bridged.";
        var known = Nets();
        if (nets.Split('+') is not [var first, var second] || first == second)
            return $"write two different nets: net:NET+NET=bridged. Nets: {Listed(known)}.";
        if (new[] { first, second }.FirstOrDefault(net => !known.Contains(net)) is { } unknown)
            return $"there is no net '{unknown}'. Nets: {Listed(known)}.";
        plan.Bridges.Add((first, second));
        return null;
    }

    private string? AddLead(string name, string how)
    {
        var elsewhere = how.StartsWith("at-", StringComparison.Ordinal) ? how["at-".Length..] : null;
        if (how != "open" && elsewhere is null)
            return $"a lead cannot be '{how}'; it can be: open, at-NET (clipped to that net). Two leads can be exchanged: lead:TESTPOINT+TESTPOINT=swapped.";
        if (NoLead(name) is { } problem)
            return problem;
        if (elsewhere == name)
            return $"the lead of {name} belongs at {name}: write another net. Nets: {Listed(AllNets())}.";
        if (elsewhere is not null && !AllNets().Contains(elsewhere))
            return $"there is no net '{elsewhere}' to clip a lead to. Nets: {Listed(AllNets())}.";
        return plan.Leads.TryAdd(name, new(elsewhere)) ? null : $"the lead of {name} has a fault already; give each lead one.";
    }

    private string? AddSwap(string names, string how)
    {
        if (how != "swapped")
            return $"two leads cannot be '{how}'; they can be: swapped.";
        if (names.Split('+') is not [var first, var second] || first == second)
            return "write two different test points: lead:TESTPOINT+TESTPOINT=swapped.";
        if ((NoLead(first) ?? NoLead(second)) is { } problem)
            return problem;
        return plan.Leads.TryAdd(first, new(second)) && plan.Leads.TryAdd(second, new(first)) ? null : $"the lead of {first} or of {second} has a fault already; give each lead one.";
    }

    private string? NoLead(string name)
    {
        var leads = board.TestPoints.Where(point => point.AdapterPin is not null).Select(point => point.Name).ToList();
        return leads.Contains(name) ? null : $"no lead goes to '{name}'. Leads go to: {Listed(leads)}.";
    }

    private string? AddLine(string name, string how)
    {
        if (how is not ("open" or "dead"))
            return $"a line cannot be '{how}'; it can be: open (its lead does not reach the board), dead (the adapter's own output stays idle).";
        if (board.Lines.All(line => line.Name != name))
            return $"there is no line '{name}'. Lines: {Listed(board.Lines.Select(line => line.Name))}.";
        if (plan.OpenLines.Contains(name) || plan.DeadLines.Contains(name))
            return $"line {name} has a fault already; give each line one.";
        (how == "open" ? plan.OpenLines : plan.DeadLines).Add(name);
        return null;
    }

    private string? AddSupply(string name, string how)
    {
        if (how != "off")
            return $"a supply cannot be '{how}'; it can be: off.";
        if (board.Supplies.All(supply => supply.Name != name))
            return $"there is no supply '{name}'. Supplies: {Listed(board.Supplies.Select(supply => supply.Name))}.";
        plan.SuppliesOff.Add(name);
        return null;
    }

    private string? AddMotor(string name, string how)
    {
        if (how != "dead")
            return $"a motor cannot be '{how}'; it can be: dead (its contactor pulls in and nothing moves).";
        var moving = board.Channels.Where(channel => channel.Line.Motion && !channel.Feedback.IsEmpty).Select(channel => channel.Name).ToList();
        if (moving.Count == 0)
            return "no channel of this profile shows a motion, so nothing could be seen of a motor.";
        if (!moving.Contains(name))
            return $"no channel '{name}' shows a motion. Such channels: {Listed(moving)}.";
        plan.DeadMotors.Add(name);
        return null;
    }

    private string? AddPickUp(string name, string? pin, string how)
    {
        if (pin is not null || how != "dead")
            return $"{name}, a pick-up, cannot be '{how}'; write {name}=dead.";
        plan.DeadPickUps.Add(name);
        return null;
    }

    private string? AddMultiplexer(Multiplexer multiplexer, string? pin, string how)
    {
        var inputs = Enumerable.Range(0, multiplexer.Type.InputCount);
        if (pin is null && how == "dead")
        {
            plan.OpenInputs.UnionWith(inputs.Select(address => (multiplexer.Name, address)));
            return null;
        }
        var (kind, number) = pin is ['Y' or 'S', .. var digits] && int.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out var parsed) ? (pin[0], parsed) : (' ', -1);
        if (kind == 'Y' && inputs.Contains(number) && how == "open")
            return plan.OpenInputs.Add((multiplexer.Name, number)) ? null : $"{multiplexer.Name}:{pin} has a fault already; give each input one.";
        if (kind == 'S' && number < multiplexer.Type.SelectCount && how is "stuck-low" or "stuck-high")
            return plan.StuckSelects.TryAdd((multiplexer.Name, number), how == "stuck-high") ? null : $"{multiplexer.Name}:{pin} has a fault already; give each select pin one.";
        return $"a multiplexer cannot be so; write {multiplexer.Name}=dead, {multiplexer.Name}:Y0=open, {multiplexer.Name}:S0=stuck-low or {multiplexer.Name}:S0=stuck-high.";
    }

    private static string Listed(IEnumerable<string> names) => string.Join(", ", names);
}
