using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>Reads the faults of one part and of its pins into a plan; each method returns what is wrong with the words, or null.</summary>
internal sealed class PartFaultReader(Board board, FaultPlan plan)
{
    private const double SlowFactor = 3, LostShare = 0.5, DriftOfHour = 0.1;

    public string? Add(Part part, string? pin, string how) => part is SwitchPart contact ? OfContact(contact, pin, how) : OfSections(part, pin, how);

    private string? OfContact(SwitchPart contact, string? pin, string how)
    {
        if (pin is not null)
            return $"a switch has one contact: write {contact.Name}={how}.";
        if (board.TestPoints.All(point => point.Name != contact.Name))
            return $"{contact.Name} is at no test point of this profile, so nothing could be seen of it.";
        if (how == "active")
            return $"{contact.Name} is no stop input of this profile, so it has no stopping state. {FaultReader.StopsOf(board)}";
        ContactFault? mode = how switch
        {
            "bouncing" => ContactFault.Bouncing,
            "stuck-low" => ContactFault.StuckLow,
            "stuck-high" => ContactFault.StuckHigh,
            _ => null,
        };
        if (mode is not { } known)
            return $"{contact.Name}, a switch, cannot be '{how}'; it can be: bouncing, stuck-low, stuck-high.";
        return plan.Contacts.TryAdd(contact.Name, known) ? null : $"{contact.Name} has a fault already; give each part one.";
    }

    private string? OfSections(Part part, string? pin, string how)
    {
        var outputs = board.Channels.SelectMany(channel => channel.Stages).Where(stage => stage.Part == part).Select(stage => stage.OutputName).Distinct().ToList();
        if (outputs.Count == 0)
            return $"no channel of this profile passes {part.Name}.";
        if (how == "removed" && pin is null)
            return plan.Removed.Add(part.Name) ? null : $"{part.Name} is removed already.";
        if (how == "disabled")
            return OfEnable(part, pin);
        if (how is "holds-low" or "holds-high")
            return OfInput(part, pin, how);
        if (pin is not null)
        {
            var pins = outputs.Select(output => output[(part.Name.Length + 1)..]);
            if (!outputs.Contains($"{part.Name}.{pin}"))
                return $"pin {pin} of {part.Name} is no output that a channel of this profile passes. Such pins: {Listed(pins)}.";
            outputs = [$"{part.Name}.{pin}"];
        }
        if (part is RelayPart && pin is null && how == "bouncing")
            return plan.Contacts.TryAdd(part.Name, ContactFault.Bouncing) ? null : $"{part.Name} has a fault already; give each part one.";
        if (ModeOf(part, pin, how) is not { } fault)
        {
            var kind = part switch { BufferPart => "a buffer", IsolatorPart => "an isolator", RelayPart => "a relay", _ => "a driver" };
            return $"{(pin is null ? part.Name : $"{part.Name}:{pin}")}, {kind}, cannot be '{how}'; it can be: {Listed(Possible(part, pin))}.";
        }
        return outputs.TrueForAll(output => plan.Sections.TryAdd(output, fault)) ? null : $"{outputs.Find(plan.Sections.ContainsKey)} has a fault already; give each section one.";
    }

    /// <summary>An enable that is lost takes all the outputs that it serves off their nets.</summary>
    private string? OfEnable(Part part, string? pin)
    {
        var enables = EnablesOf(part);
        if (enables.Count == 0)
        {
            var with = board.Parts.Where(known => EnablesOf(known).Count > 0).Select(known => known.Name).ToList();
            return $"{part.Name} has no enable that it could lose. {(with.Count == 0 ? "No package of this profile has one." : $"Packages with one: {Listed(with)}.")}";
        }
        if (pin is not null && !enables.Contains(pin))
            return $"pin {pin} of {part.Name} is no enable of a section that a channel passes. Such pins: {Listed(enables)}.";
        var lost = StagesOf(part).Where(stage => StagePins.SectionOf(stage)?.Enable is { } enable && (pin is null || enable == pin)).Select(stage => stage.OutputName).Distinct().ToList();
        return lost.TrueForAll(output => plan.Sections.TryAdd(output, new(SectionFaultMode.Disabled, 0))) ? null : $"{lost.Find(plan.Sections.ContainsKey)} has a fault already; give each section one.";
    }

    private string? OfInput(Part part, string? pin, string how)
    {
        var inputs = InputsOf(part);
        if (pin is null || !inputs.Contains(pin))
            return $"write the input that is shorted: {part.Name}:PIN={how}. Inputs of {part.Name} that a channel passes: {Listed(inputs)}.";
        return plan.HeldInputs.TryAdd($"{part.Name}.{pin}", how == "holds-high" ? Level.High : Level.Low) ? null : $"{part.Name}:{pin} has a fault already; give each input one.";
    }

    private IEnumerable<Stage> StagesOf(Part part) => board.Channels.SelectMany(channel => channel.Stages).Where(stage => stage.Part == part);

    private List<string> EnablesOf(Part part) => [.. StagesOf(part).Select(stage => StagePins.SectionOf(stage)?.Enable).OfType<string>().Distinct()];

    private List<string> InputsOf(Part part) => [.. StagesOf(part).Select(stage => StagePins.InputName(stage)[(part.Name.Length + 1)..]).Distinct()];

    private IEnumerable<string> Possible(Part part, string? pin)
    {
        yield return "dead";
        yield return "stuck-low";
        yield return "stuck-high";
        if (part is BufferPart)
            yield return "inverted";
        yield return part is RelayPart ? "bouncing" : "weak";
        yield return "slow (or slow:5x)";
        yield return "intermittent (or intermittent:0.3)";
        yield return "drifting (or drifting:0.1, slower by that share each hour)";
        if (EnablesOf(part).Count > 0)
            yield return pin is null ? "disabled" : $"disabled (only the package or one of its enables: {part.Name}=disabled)";
        if (InputsOf(part) is [var input, ..])
            yield return $"holds-low or holds-high (at an input: {part.Name}:{input}=holds-low)";
        if (pin is null)
            yield return "removed";
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
            "drifting" => Amount(amount, DriftOfHour, 0, 1000) is { } growth ? new(SectionFaultMode.Drifting, growth) : null,
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
