using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Diagnosing;

/// <summary>Every single fault that is thought of: of sections, packages, inputs, nets, leads, lines, supplies, multiplexers, contacts and motors.</summary>
public static class BoardFaults
{
    /// <summary>Leads this far from each other in the profile's order may have been exchanged; a clip that slips goes to a neighbour (common practice).</summary>
    private const int NeighbouringLeads = 2;

    /// <summary>A lead that goes from point to point, at whatever it touches: no fault of a board, and written for none.</summary>
    public static BoardFault RovingLead { get; } = new("roving lead", FaultMode.LeadOpen, "open, or its tip touches nothing", ["lead:roving=open"], FaultOdds.LeadOpen, []);

    public static ImmutableArray<BoardFault> Of(Board board) =>
    [
        .. Sections(board).Concat(Packages(board)).Concat(Inputs(board)).Concat(Bridges(board)).Concat(Leads(board)).Concat(Lines(board)).Concat(Supplies(board))
            .Concat(Multiplexers(board)).Concat(Contacts(board)).Concat(Motion(board)).Distinct(),
    ];

    /// <summary>Which item is at fault where nothing can be told apart by parts: a package without its section.</summary>
    private static IEnumerable<(Channel Channel, int Index, Stage Stage)> Stages(Board board) =>
        board.Channels.SelectMany(channel => channel.Stages.Select((stage, index) => (channel, index, stage))).DistinctBy(entry => entry.stage.OutputName);

    private static ImmutableArray<string> Through(Board board, Func<Stage, bool> stage) =>
        [.. board.Channels.Where(channel => channel.Stages.Any(stage)).Select(channel => channel.Name)];

    /// <summary>The channels whose path, drive point or feedback a net belongs to; every one for a net that belongs to none, such as a stop input.</summary>
    internal static ImmutableArray<string> Owners(Board board, string net)
    {
        ImmutableArray<string> owners = [.. board.Channels.Where(channel => channel.Owns(net)).Select(channel => channel.Name)];
        return owners.IsEmpty ? [.. board.Channels.Select(channel => channel.Name)] : owners;
    }

    private static IEnumerable<BoardFault> Sections(Board board)
    {
        foreach (var (channel, index, stage) in Stages(board))
        {
            var part = stage.Part;
            var several = Stages(board).Count(entry => entry.Stage.Part == part) > 1 || part is BufferPart;
            var what = several ? $"{part.Name}:{stage.OutputName[(part.Name.Length + 1)..]}" : part.Name;
            var where = several ? $"section {stage.Name[(part.Name.Length + 1)..]}: " : "";
            var through = Through(board, other => other.OutputName == stage.OutputName);
            BoardFault Fault(FaultMode mode, string how, string words) => new(part.Name, mode, where + words, [$"{what}={how}"], FaultOdds.Of(part, mode), through);

            var (idle, active) = (channel.LevelAfter(index, channel.Line.Idle), channel.LevelAfter(index, channel.Line.Active));
            // A logic output drives both levels; a transistor that is stuck where it idles is one that never conducts.
            yield return Fault(FaultMode.Dead, "dead", part switch { BufferPart => $"output stays {idle.Word()}", RelayPart => "its contact never closes", DriverPart => "never conducts, or too weakly", _ => "never conducts" });
            yield return Fault(FaultMode.StuckActive, $"stuck-{active.Word()}", part switch { BufferPart => $"output stays {active.Word()}", RelayPart => "its contact is always closed", _ => "conducts all the time" });
            if (part is not BufferPart)
                yield return Fault(FaultMode.Dead, $"stuck-{idle.Word()}", part is RelayPart ? "its contact never closes" : "its output is shorted to where it idles");
            yield return Fault(FaultMode.Slow, "slow", "too slow");
            if (part is not RelayPart)
                yield return Fault(FaultMode.Weak, "weak", "weak output");
            else
                yield return Fault(FaultMode.Unsteady, "bouncing", "its contact bounces");
            if (part is BufferPart)
                yield return Fault(FaultMode.Inverted, "inverted", "output inverted: wrong part fitted?");
        }
    }

    private static IEnumerable<BoardFault> Packages(Board board)
    {
        foreach (var part in board.Parts.OfType<BufferPart>())
        {
            var sections = Stages(board).Where(entry => entry.Stage.Part == part).ToList();
            if (sections.Count == 0)
                continue;
            var through = Through(board, stage => stage.Part == part);
            BoardFault Fault(FaultMode mode, string how, string words, double share) => new(part.Name, mode, words, [$"{part.Name}={how}"], FaultOdds.WholePackage * share, through);
            yield return Fault(FaultMode.WholePackage, "no-supply", "whole package: its supply or ground, or the package itself", 1);
            if (part.BufferType.Sections.Any(section => section.Enable is not null))
                yield return Fault(FaultMode.WholePackage, "disabled", "whole package: not enabled", 1);
            if (sections.Count < 2)
                continue;
            yield return Fault(FaultMode.WholePackage, "weak", "whole package: weak outputs, so its supply or ground, or the package itself", 0.5);
            yield return Fault(FaultMode.WholePackage, "slow", "whole package: slow outputs, so its supply, or the package itself", 0.2);
            yield return Fault(FaultMode.Inverted, "inverted", "whole package inverted: wrong part fitted?", 1);
        }
    }

    private static IEnumerable<BoardFault> Inputs(Board board)
    {
        foreach (var channel in board.Channels)
        {
            for (var index = 0; index < channel.Stages.Length; index++)
            {
                var (stage, net) = (channel.Stages[index], index == 0 ? channel.DrivenAt.Name : channel.Stages[index - 1].OutputName);
                foreach (var level in new[] { Level.Low, Level.High })
                {
                    yield return new(
                        stage.Part.Name, FaultMode.HoldsInput, $"its input holds {net} {level.Word()}", [$"{stage.Part.Name}:{InputPin(stage)}=holds-{level.Word()}"], FaultOdds.HoldsNet / 2,
                        Through(board, other => other == stage || other.OutputName == net));
                }
            }
        }
    }

    /// <summary>The pin of a stage's input, as on the part: "2" of "U3 2>18", the base of a transistor, the cathode of an isolator's LED, the driven end of a coil.</summary>
    public static string InputPin(Stage stage) => stage.Part switch
    {
        DriverPart { DriverType.Sections.IsEmpty: true } => "B",
        RelayPart => "A2",
        _ => stage.Name[(stage.Part.Name.Length + 1)..stage.Name.IndexOf('>', StringComparison.Ordinal)],
    };

    private static IEnumerable<BoardFault> Bridges(Board board)
    {
        ImmutableArray<string> nets =
        [
            .. board.Channels.SelectMany(channel => channel.Stages.Select(stage => stage.OutputName).Prepend(channel.DrivenAt.Name))
                .Concat(board.TestPoints.Select(point => point.Name))
                .Except(board.Supplies.Select(supply => supply.SensedAt?.Name).OfType<string>())
                .Distinct(),
        ];
        for (var i = 0; i < nets.Length; i++)
        {
            for (var j = i + 1; j < nets.Length; j++)
            {
                var (first, second) = string.CompareOrdinal(nets[i], nets[j]) < 0 ? (nets[i], nets[j]) : (nets[j], nets[i]);
                yield return new(
                    $"bridge between {first} and {second}", FaultMode.Bridged, "the nets are joined", [$"net:{nets[i]}+{nets[j]}=bridged"],
                    AreNeighbours(nets[i], nets[j]) ? FaultOdds.BridgeOfNeighbours : FaultOdds.Bridge, [.. Owners(board, nets[i]).Union(Owners(board, nets[j]))])
                { Between = [nets[i], nets[j]] };
            }
        }
    }

    /// <summary>Pins of one part or connector with numbers next to each other, or two apart: rows of a connector, gaps between pairs.</summary>
    private static bool AreNeighbours(string one, string other)
    {
        var (first, second) = (one.Split('.'), other.Split('.'));
        return first.Length == 2 && second.Length == 2 && first[0] == second[0]
            && int.TryParse(first[1], NumberStyles.None, CultureInfo.InvariantCulture, out var pin)
            && int.TryParse(second[1], NumberStyles.None, CultureInfo.InvariantCulture, out var beside)
            && Math.Abs(pin - beside) <= 2;
    }

    private static IEnumerable<BoardFault> Leads(Board board)
    {
        var lines = board.Lines.Select(line => line.AdapterPin).ToHashSet();
        var leads = board.TestPoints.Where(point => point.AdapterPin is { } pin && !lines.Contains(pin)).ToImmutableArray();
        foreach (var point in leads)
            yield return new($"lead at {point.Name}", FaultMode.LeadOpen, "open", [$"lead:{point.Name}=open"], FaultOdds.LeadOpen, Owners(board, point.Name));
        for (var i = 0; i < leads.Length; i++)
        {
            for (var j = Math.Max(0, i - NeighbouringLeads); j <= Math.Min(leads.Length - 1, i + NeighbouringLeads); j++)
            {
                if (i == j)
                    continue;
                var (one, other) = (leads[i].Name, leads[j].Name);
                ImmutableArray<string> owners = [.. Owners(board, one).Union(Owners(board, other))];
                yield return new($"lead at {one}", FaultMode.LeadOpen, $"clipped to {other}", [$"lead:{one}=at-{other}"], FaultOdds.LeadElsewhere, owners) { Between = [one, other] };
                if (i < j)
                    yield return new($"leads at {one} and {other}", FaultMode.LeadOpen, BoardFault.Exchanged, [$"lead:{one}+{other}=swapped"], FaultOdds.LeadsExchanged, owners) { Between = [one, other] };
            }
        }
    }

    private static IEnumerable<BoardFault> Lines(Board board)
    {
        foreach (var channel in board.Channels.DistinctBy(channel => channel.Line))
        {
            var line = channel.Line;
            yield return new($"lead to {channel.DrivenAt.Name}", FaultMode.LeadOpen, $"line '{line.Name}' does not reach the board", [$"line:{line.Name}=open"], FaultOdds.LineLeadOpen, [channel.Name]);
            yield return new($"adapter pin {line.AdapterPin}", FaultMode.Dead, $"it does not drive line '{line.Name}'", [$"line:{line.Name}=dead"], FaultOdds.AdapterPinDead, [channel.Name]);
        }
    }

    private static IEnumerable<BoardFault> Supplies(Board board) =>
        board.Supplies.Where(supply => !supply.Motion).Select(supply => new BoardFault(
            $"supply {supply.Name}", FaultMode.WholePackage, "off", [$"supply:{supply.Name}=off"], FaultOdds.SupplyOff, []));

    private static IEnumerable<BoardFault> Multiplexers(Board board)
    {
        foreach (var multiplexer in board.Multiplexers)
            yield return new($"multiplexer {multiplexer.Name}", FaultMode.WholePackage, "none of its inputs arrives", [$"{multiplexer.Name}=dead"], FaultOdds.MultiplexerDead, []);
        var together = board.Multiplexers.GroupBy(multiplexer => string.Join(' ', multiplexer.SelectPins)).Select(group => group.ToImmutableArray()).ToList();
        foreach (var multiplexers in together.Where(group => group.Length > 1).Concat(board.Multiplexers.Select(multiplexer => ImmutableArray.Create(multiplexer))))
        {
            for (var bit = 0; bit < multiplexers[0].Type.SelectCount; bit++)
            {
                foreach (var level in new[] { Level.Low, Level.High })
                {
                    yield return new(
                        string.Create(CultureInfo.InvariantCulture, $"select pin S{bit} of {string.Join(" and ", multiplexers.Select(multiplexer => multiplexer.Name))}"), FaultMode.WrongInput,
                        $"it does not go {level.Inverted().Word()}: other inputs are seen than were chosen",
                        [.. multiplexers.Select(multiplexer => string.Create(CultureInfo.InvariantCulture, $"{multiplexer.Name}:S{bit}=stuck-{level.Word()}"))],
                        multiplexers.Length > 1 ? FaultOdds.SelectLead : FaultOdds.SelectLead / 4, []);
                }
            }
        }
    }

    /// <summary>Switches at test points: feedback and stop inputs.</summary>
    private static IEnumerable<BoardFault> Contacts(Board board)
    {
        foreach (var part in board.Parts.OfType<SwitchPart>().Where(part => board.TestPoints.Any(point => point.Name == part.Name)))
        {
            foreach (var (how, words, mode) in new[] { ("bouncing", "its contact bounces", FaultMode.Unsteady), ("stuck-low", "its contact is always closed", FaultMode.StuckActive), ("stuck-high", "its contact never closes", FaultMode.Dead) })
                yield return new(part.Name, mode, words, [$"{part.Name}={how}"], FaultOdds.Contact, Owners(board, part.Name));
        }
        foreach (var stop in board.Stops.Where(stop => stop.Point.AdapterPin is not null))
            yield return new(stop.Point.Name, FaultMode.StuckActive, $"stays {stop.StopsAt.Word()}, as when it stops", [$"{stop.Point.Name}=active"], FaultOdds.Contact, Owners(board, stop.Point.Name));
    }

    private static IEnumerable<BoardFault> Motion(Board board)
    {
        foreach (var point in board.Channels.SelectMany(channel => channel.Feedback).OfType<PulseFeedback>().Select(pulses => pulses.Point.Name).Distinct())
            yield return new(point, FaultMode.Feedback, "gives no pulses", [$"{point}=dead"], FaultOdds.PickUp, Owners(board, point));
        foreach (var channel in board.Channels.Where(channel => channel.Line.Motion && !channel.Feedback.IsEmpty))
            yield return new($"motor circuit of {channel.Name}", FaultMode.Feedback, "nothing moves though its contactor pulls in", [$"motor:{channel.Name}=dead"], FaultOdds.Motor, [channel.Name]);
    }
}
