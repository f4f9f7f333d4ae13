using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>What is broken on the simulated bench. Built from words and checked against the board: only what can be there can break.</summary>
public sealed class FaultPlan
{
    internal FaultPlan()
    {
    }

    /// <summary>Nothing is broken.</summary>
    public static FaultPlan None { get; } = new();

    /// <summary>Nets joined by mistake, by the names of their test points or outputs.</summary>
    internal List<(string First, string Second)> Bridges { get; } = [];

    /// <summary>By the names of their outputs.</summary>
    internal Dictionary<string, SectionFault> Sections { get; } = [];

    /// <summary>Inputs that are shorted inside their part, by name ("U4.2", "Q1.B"): to ground, or to the supply that the part has at this side.</summary>
    internal Dictionary<string, Level> HeldInputs { get; } = [];

    /// <summary>Parts that are not in their sockets, by name: none of what else is wrong with them is there.</summary>
    internal HashSet<string> Removed { get; } = [];

    internal Dictionary<string, ContactFault> Contacts { get; } = [];

    /// <summary>By the names of their test points.</summary>
    internal Dictionary<string, LeadFault> Leads { get; } = [];

    internal HashSet<string> OpenLines { get; } = [];

    internal HashSet<string> DeadLines { get; } = [];

    internal HashSet<string> SuppliesOff { get; } = [];

    /// <summary>Pick-ups that never pulse, by the names of their test points.</summary>
    internal HashSet<string> DeadPickUps { get; } = [];

    /// <summary>Channels whose contactor pulls in and moves nothing.</summary>
    internal HashSet<string> DeadMotors { get; } = [];

    /// <summary>What is in the socket, where the board is one.</summary>
    internal SocketedPart InSocket { get; private init; } = SocketedPart.First;

    internal HashSet<(string Multiplexer, int Address)> OpenInputs { get; } = [];

    internal Dictionary<(string Multiplexer, int Bit), bool> StuckSelects { get; } = [];

    /// <summary>Reads faults as they are written on the command line, e.g. "OK3=dead", "U3:18=stuck-low", "lead:U3.16=open".</summary>
    /// <param name="inSocket">Null for an ordinary part, and where the board is no socket.</param>
    /// <returns>The plan, null when there is an error; and all errors, each naming what would be possible.</returns>
    public static (FaultPlan? Plan, ImmutableArray<string> Errors) Of(Board board, IEnumerable<string> written, SocketedPart? inSocket = null)
    {
        var plan = new FaultPlan { InSocket = inSocket ?? SocketedPart.First };
        var reader = new FaultReader(board, plan);
        var errors = ImmutableArray.CreateBuilder<string>();
        foreach (var text in written)
        {
            if (reader.Add(text) is { } problem)
                errors.Add($"--fault '{text}': {problem}");
        }
        return errors.Count > 0 ? (null, errors.ToImmutable()) : (plan, []);
    }

    /// <summary>The fault of a section, by the name of its output.</summary>
    internal SectionFault OfSection(string output) => Sections.GetValueOrDefault(output);

    internal ContactFault OfContact(string name) => Contacts.GetValueOrDefault(name);

    internal bool IsOpen(TestPoint point) => Leads.GetValueOrDefault(point.Name) is { ClippedTo: null }
        || (point.Through is { } through && OpenInputs.Contains((through.Multiplexer.Name, through.Address)));

    /// <summary>The net that the lead of a test point is clipped to, rightly or not.</summary>
    internal string NetAtLeadOf(TestPoint point) => Leads.GetValueOrDefault(point.Name)?.ClippedTo ?? point.Name;

    /// <summary>What a multiplexer makes of the address at its select pins.</summary>
    internal int AddressAt(Multiplexer multiplexer, int address)
    {
        for (var bit = 0; bit < multiplexer.Type.SelectCount; bit++)
        {
            if (StuckSelects.TryGetValue((multiplexer.Name, bit), out var high))
                address = high ? address | (1 << bit) : address & ~(1 << bit);
        }
        return address;
    }
}

/// <summary>What is wrong with a lead.</summary>
/// <param name="ClippedTo">The net where it is instead of its test point; null for a lead that reaches nothing.</param>
internal sealed record LeadFault(string? ClippedTo);
