using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;

namespace TestRig.Core.Diagnosing;

/// <summary>Advice that a person can act on. Measuring comes before unsoldering.</summary>
internal static class Advisor
{
    /// <summary>More items of an ambiguity group than this are no advice.</summary>
    private const int MostNamed = 5;

    public static string Advise(Board board, Suspect suspect)
    {
        var item = suspect.Group[0];
        if (AdviseOfSetUp(board, suspect) is { } setUp)
            return setUp;
        var part = board.Parts.FirstOrDefault(candidate => candidate.Name == item);
        // A lead is reclipped in seconds: it comes before every part.
        if (part is not null && suspect.Group.FirstOrDefault(other => board.Parts.All(candidate => candidate.Name != other)) is { } lead)
            return $"Check the {lead} first: nothing measured tells it from {item}. Then: {Action(item, part, suspect.Mode)}";
        return $"{Action(item, part, suspect.Mode)}{Others(suspect)}";
    }

    private static string Others(Suspect suspect) => suspect.Group.Length switch
    {
        1 => "",
        <= MostNamed => $" Nothing measured tells it from: {string.Join(", ", suspect.Group.Skip(1))}.",
        _ => string.Create(CultureInfo.InvariantCulture, $" Nothing measured tells it from {suspect.Group.Length - 1} others."),
    };

    /// <summary>What belongs to no part that a channel passes: the measuring set-up, supplies, contacts, motors. Null of a part.</summary>
    private static string? AdviseOfSetUp(Board board, Suspect suspect)
    {
        var (item, others) = (suspect.Group[0], Others(suspect));
        const string again = "Then sweep again before any part of the board is touched.";
        if (board.Multiplexers.FirstOrDefault(known => item == $"multiplexer {known.Name}") is { } multiplexer)
            return $"Check the supply, the ground and the enable pin of {multiplexer.Name}, and the lead from its common pin to {multiplexer.CommonPin}: all that looks faulty is seen through it. {again}{others}";
        if (suspect.Mode == FaultMode.WrongInput)
            return $"Check the lead to {item}, then the multiplexer itself: what looks faulty is seen through inputs that it does not choose. {again}{others}";
        if (board.Supplies.FirstOrDefault(known => item == $"supply {known.Name}") is { } supply)
            return $"Measure {supply.Name} on the board: it should be {supply.Minimum} to {supply.Maximum}. Check its switch, its fuse and its connector. {again}{others}";
        if (item.StartsWith("adapter pin", StringComparison.Ordinal))
            return $"Put the line at another adapter pin, in the profile too, and sweep again: when it works then, {item} is damaged.{others}";
        if (item.StartsWith("leads at", StringComparison.Ordinal))
            return $"Exchange the {item}: each shows what the other should. {again}{others}";
        if (suspect.Mode == FaultMode.Feedback || board.Parts.Any(part => part is SwitchPart && part.Name == item) || board.Stops.Any(stop => stop.Point.Name == item))
            return $"Check {string.Join(", then ", suspect.Group)}: wiring, mounting, contacts; clean or replace, then sweep again{(suspect.Mode == FaultMode.Feedback ? " with --allow-motion" : "")}.";
        return null;
    }

    private static string Action(string item, Part? part, FaultMode mode) => (part, mode) switch
    {
        (IsolatorPart isolator, FaultMode.Dead) =>
            $"Replace {item} ({isolator.Type.Name}). To be sure first: while its line is on, about {isolator.IsolatorType.LedForwardTypical} across its LED (pins {isolator.IsolatorType.AnodePin} and {isolator.IsolatorType.CathodePin}) means that the LED is driven and its output side is at fault; nothing there means an open resistor or LED.",
        (IsolatorPart isolator, FaultMode.Slow or FaultMode.Weak) =>
            $"Check the LED resistor ({isolator.LedResistor}) and the load ({isolator.Load}) of {item}; when they are right, replace {item} ({isolator.Type.Name}): an aged LED gives too little current.",
        (IsolatorPart isolator, _) =>
            $"Pull {item} ({isolator.Type.Name}) or lift its output pin, and sweep again: when its net is free then, replace {item}.",
        (DriverPart, FaultMode.Dead) => $"Check the base resistor of {item} and its load for a short or an open coil; when they are right, replace {item} ({part.Type.Name}).",
        (DriverPart, FaultMode.StuckActive) => $"Measure {item} collector to emitter without power: a short means replace {item} ({part.Type.Name}), and check the load that may have caused it.",
        (DriverPart, _) => $"Check the base resistor and the load of {item}; when they are right, replace {item} ({part.Type.Name}).",
        (RelayPart relay, FaultMode.Dead) => $"Measure the coil of {item} ({relay.Type.Name}) without power: open, replace it. When it is whole and {relay.RelayType.CoilNominal} come to it while its line is on, the contact is at fault: clean it, or replace {item}.",
        (RelayPart, FaultMode.StuckActive) => $"Knock on {item} ({part.Type.Name}) and sweep again: a contact that then opens was welded, and will weld again. Replace {item}, and look for a short in what its contact switches.",
        (RelayPart, FaultMode.Slow) => $"Measure the voltage at the coil of {item} while its line is on; when it is right, the armature or its spring is worn: replace {item} ({part.Type.Name}).",
        (RelayPart, _) => $"Clean the contact of {item}, or replace {item} ({part.Type.Name}).",
        (BufferPart, FaultMode.WholePackage) => $"Measure the supply, ground and enable pins of {item} ({part.Type.Name}) first; when they are right, replace {item}.",
        (BufferPart, FaultMode.Inverted) => $"Read what is printed on {item}: it should be a {part.Type.Name}. When it is, replace it.",
        (BufferPart, _) => $"Replace {item} ({part.Type.Name}). To be sure first: check its supply, ground and enable pins, and that nothing else pulls on that output.",
        (_, FaultMode.Bridged) => $"Look for the {item}: solder, a crushed wire, or two clips that touch; without power, measure between the two nets. Then sweep again before any part is touched.",
        _ => $"Check the {item}, then sweep again before any part is touched.",
    };

    /// <summary>What would settle the first ambiguity. Null when one part is left.</summary>
    public static Settling? Next(Board board, Suspect suspect, IBoardModel model)
    {
        // A lead in doubt is checked, as the advice says; a probe is for parts.
        ImmutableArray<string> parts = [.. suspect.Group.Where(item => board.Parts.Any(part => part.Name == item))];
        if (parts.Length < 2)
            return null;
        var settling = board.Channels.FirstOrDefault(candidate => suspect.Explains.Contains(candidate.Name)) is { } channel ? Settling.Of(board, channel, suspect, parts, model) : null;
        return settling is { Words.Length: > 0 } ? settling : new($"Lift the connection between {parts[0]} and {parts[1]} (pull one of them where it is socketed) and sweep again.", null);
    }
}
