using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Wiring;

/// <summary>
/// Every lead that a profile asks for, in an order that is safe to connect: grounds, then what only looks, and the lines, which can command something, last.
/// It comes off in the reverse order.
/// </summary>
/// <param name="Before">What is done before the first clip, step by step.</param>
/// <param name="After">What is done when all clips are on.</param>
/// <param name="Off">How it comes off.</param>
public sealed record WiringPlan(
    Board Board,
    ImmutableArray<string> Before,
    ImmutableArray<GroundClip> Grounds,
    ImmutableArray<LeadGroup> Groups,
    ImmutableArray<string> After,
    ImmutableArray<string> Off)
{
    public IEnumerable<Lead> Leads => Groups.SelectMany(group => group.Leads);

    public static WiringPlan Of(Board board)
    {
        var motors = board.Supplies.Where(supply => supply.Motion).Select(supply => supply.Name).ToList();
        var others = board.Supplies.Where(supply => !supply.Motion).Select(supply => supply.Name).ToList();
        return new(
            board,
            [
                board.Moves
                    ? "Isolate the machine, lock it out, release what is stored (springs, capacitors, raised loads), and try that it is off."
                    : "Isolate whatever the board's outputs switch: it may be live.",
                $"All supplies of the board off: {Listed(board.Supplies.Select(supply => supply.Name))}. The adapter's cable to the computer unplugged.",
                board.Controller is { } controller
                    ? $"The board's own controller: {controller.DisabledBy}. Two drivers on one line damage each other."
                    : "Unplug the board's own controller, or take its outputs off the lines (the profile does not say how): two drivers on one line damage each other.",
            ],
            GroundsOf(board),
            Number(board.Multiplexers.Select(OfMultiplexer).Concat(board.Socket is { } socket ? [OfLoads(socket)] : []).Concat(Group(board, LeadsOf(board)))),
            [
                .. board.TestPoints.Any(point => point is { AdapterPin: not null, Divider: not null })
                    ? (string[])["Look once more at each divider: which end is at the clip, and its ground."]
                    : [],
                "The adapter's cable to the computer first: its pins are inputs until a run begins, and drive nothing. The other way round, the board would feed an adapter that is off through its pins.",
                $"Then the supplies of the board: {Listed(others)}.{(motors.Count > 0 ? $" The motor supply ({Listed(motors)}) stays off and locked." : "")}",
            ],
            [
                $"Supplies of the board off ({Listed(motors.Concat(others))}), then the adapter's cable.",
                "Leads off in the reverse order: lines first, ground clips last.",
            ]);
    }

    private static string Listed(IEnumerable<string> names) => string.Join(", ", names);

    private static ImmutableArray<GroundClip> GroundsOf(Board board)
    {
        var bridged = board.Grounds.Where(ground => board.TestPoints.Any(point => point.AdapterPin is not null && point.Ground == ground.Name)).ToList();
        var own = board.Grounds.Select(ground => ground.IsolatedFrom.Name).FirstOrDefault();
        return
        [
            new(own is null ? "the board's ground" : $"ground of {own}", null),
            .. bridged.Select(ground => new GroundClip($"ground {ground.Name}", ground.BridgedBecause)),
        ];
    }

    private static IEnumerable<Lead> LeadsOf(Board board)
    {
        foreach (var point in board.TestPoints)
        {
            if (point.AdapterPin is { } pin && board.Lines.All(line => line.AdapterPin != pin))
                yield return Sense(board, point, point.LeadEnd!);
        }
        foreach (var line in board.Lines)
        {
            // A line that no channel uses is driven to idle all the same, and has a lead to wherever it goes.
            var point = board.Channels.FirstOrDefault(channel => channel.Line == line)?.DrivenAt;
            yield return new(
                0, LeadUse.Line, line.AdapterPin, point?.Name ?? line.Name, null, line.Series, null, point?.Ground, point?.Highest ?? null,
                $"line {line.Name}, idle {line.Idle.Word()}");
        }
    }

    private static Lead Sense(Board board, TestPoint point, string pin)
    {
        var supply = board.Supplies.FirstOrDefault(supply => supply.SensedAt == point);
        var stop = board.Stops.FirstOrDefault(stop => stop.Point == point);
        var remark = supply is not null ? Supply(supply)
            : stop is not null ? $"{stop.StopsAt.Word()} ends {(stop.EndsAll(board) ? "all lines" : Listed(stop.Lines.Select(line => line.Name)))}"
            : board.Controller?.SensedAt == point ? $"{board.Controller!.Is!.Value.Word()} while the controller is disabled"
            : "";
        return new(
            0, supply is not null ? LeadUse.Supply : stop is not null ? LeadUse.Stop : LeadUse.Sense, pin, point.Name, null,
            point.Divider is null ? point.Series : null, point.Divider, point.Ground, point.HighestAtAdapter, remark);
    }

    /// <summary>A multiplexer of the measuring set-up, with its own leads to the adapter.</summary>
    private static LeadGroup OfMultiplexer(Multiplexer multiplexer)
    {
        Lead Own(LeadUse use, string pin, string end, string remark) =>
            new(0, use, pin, end, end[(multiplexer.Name.Length + 1)..], null, null, null, PinVoltage.FiveVoltMaximum, remark);

        return new(
            $"Multiplexer {multiplexer.Name}, {multiplexer.Type.Name}: on the adapter's supply; enable and VEE to its ground",
            [
                new(
                    multiplexer.Name, null, IsPoint: false,
                    [
                        Own(LeadUse.Sense, multiplexer.CommonPin, multiplexer.CommonEnd, "common"),
                        .. multiplexer.SelectPins.Select((pin, bit) => Own(
                            LeadUse.Select, pin, multiplexer.SelectEnd(bit), string.Create(CultureInfo.InvariantCulture, $"address bit {bit}"))),
                    ]),
            ]);
    }

    /// <summary>The resistors of the socket from its emitter to pins of the adapter.</summary>
    private static LeadGroup OfLoads(Socket socket) => new(
        $"Loads of socket {socket.Part.Name}: each a resistor from the emitter to its pin, and {socket.Bleeder} from the emitter to ground",
        [
            .. new[] { (Load: socket.Ratio, Of: "transfer ratio"), (Load: socket.Delay, Of: "delays") }.Select(entry => new LeadBody(
                socket.Emitter.Name, null, IsPoint: true,
                [new(0, LeadUse.Select, entry.Load.AdapterPin, socket.Emitter.Name, null, entry.Load.Resistance, null, null, socket.Emitter.Highest, $"load of the {entry.Of}")])),
        ]);

    private static string Supply(Supply supply) =>
        string.Create(CultureInfo.InvariantCulture, $"supply {supply.Name}, {supply.Nominal} ±{supply.Tolerance * 100:0.##} %");

    private static IEnumerable<LeadGroup> Group(Board board, IEnumerable<Lead> leads)
    {
        var placed = leads.Select(lead => (Lead: lead, Owner: OwnerOf(lead.Point))).ToList();
        Part? PartOf(string? name) => board.Parts.FirstOrDefault(part => part.Name == name && part is not SwitchPart);

        var supplies = placed.Where(entry => entry.Lead.Use == LeadUse.Supply).Select(entry => entry.Lead).ToList();
        var points = placed.Where(entry => entry.Lead.Use != LeadUse.Supply && entry.Owner is null).Select(entry => entry.Lead).ToList();
        if (supplies.Count > 0)
            yield return Points("Supplies", supplies);
        if (points.Where(lead => lead.Use != LeadUse.Line).ToList() is { Count: > 0 } looking)
            yield return Points("Switches, encoders and other points", looking);

        var owned = placed.Where(entry => entry.Lead.Use != LeadUse.Supply && entry.Owner is not null).ToList();
        var bodies = board.Parts
            .Select(part => (Part: part, Leads: owned.Where(entry => entry.Owner == part.Name && PartOf(part.Name) is not null).Select(entry => entry.Lead).ToList()))
            .Where(entry => entry.Leads.Count > 0).ToList();
        // A package with several leads is a group of its own; parts with one lead each go together by type.
        foreach (var many in bodies.Where(body => body.Leads.Count > 1))
            yield return new($"{many.Part.Name}, {many.Part.Type.Name}", [Body(many.Part.Name, many.Part.Type.DipPins, many.Leads)]);
        foreach (var alike in bodies.Where(body => body.Leads.Count == 1).GroupBy(body => body.Part.Type.Name))
            yield return new($"{string.Join(' ', alike.Select(body => body.Part.Name))}, {alike.Key}", [.. alike.Select(body => Body(body.Part.Name, body.Part.Type.DipPins, body.Leads))]);

        foreach (var connector in owned.Where(entry => PartOf(entry.Owner) is null).GroupBy(entry => entry.Owner!).OrderBy(group => group.Any(entry => entry.Lead.Use == LeadUse.Line)))
            yield return new($"Connector {connector.Key}", [Body(connector.Key, null, connector.Select(entry => entry.Lead).OrderBy(lead => lead.Use == LeadUse.Line))]);
        if (points.Where(lead => lead.Use == LeadUse.Line).ToList() is { Count: > 0 } lines)
            yield return Points("Lines", lines);
    }

    private static LeadGroup Points(string title, IEnumerable<Lead> leads) =>
        new(title, [.. leads.Select(lead => new LeadBody(lead.Point, null, IsPoint: true, [lead]))]);

    private static LeadBody Body(string name, int? dipPins, IEnumerable<Lead> leads) =>
        new(name, dipPins, IsPoint: false, [.. leads.Select(lead => lead with { PinOfBody = lead.Point[(name.Length + 1)..] })]);

    /// <summary>"U3" of "U3.18"; null of a point that is named as a whole.</summary>
    private static string? OwnerOf(string point) => point.LastIndexOf('.') is > 0 and var dot ? point[..dot] : null;

    private static ImmutableArray<LeadGroup> Number(IEnumerable<LeadGroup> groups)
    {
        var number = 0;
        return
        [
            .. groups.Select(group => group with
            {
                Bodies = [.. group.Bodies.Select(body => body with { Leads = [.. body.Leads.Select(lead => lead with { Number = ++number })] })],
            }),
        ];
    }
}
