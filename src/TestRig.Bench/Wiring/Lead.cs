using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Wiring;

/// <summary>One lead between the adapter and the board, as the profile has it.</summary>
/// <param name="Number">In the order of connecting, from 1.</param>
/// <param name="AdapterPin">The adapter's own name of the pin, or the input of a multiplexer in front of it: "M1.Y3".</param>
/// <param name="Point">The test point at the board's end, e.g. "U3.18"; of a multiplexer's own leads, its pin: "M1.S0".</param>
/// <param name="PinOfBody">The pin of the part or connector, e.g. "18"; null for a point that is no pin of one.</param>
/// <param name="Series">The resistor at the adapter's end; null where a divider takes its place, and in a multiplexer's own leads.</param>
/// <param name="Divider">At the clip, so that the lead itself is harmless; null in a direct lead.</param>
/// <param name="Ground">The isolated ground that the point refers to; null for the adapter's own.</param>
/// <param name="HighestAtPin">The most that can come to the pin, worst case; null when the profile does not tell.</param>
/// <param name="Remark">What the point is, in a few words: "line rotate-left", "ends all lines"; empty when its name says it.</param>
public sealed record Lead(
    int Number,
    LeadUse Use,
    string AdapterPin,
    string Point,
    string? PinOfBody,
    Ohms? Series,
    Divider? Divider,
    string? Ground,
    Volts? HighestAtPin,
    string Remark);

public enum LeadUse
{
    /// <summary>Reads a supply.</summary>
    Supply,

    /// <summary>Looks at a point.</summary>
    Sense,

    /// <summary>Ends lines in the device.</summary>
    Stop,

    /// <summary>Drives a command.</summary>
    Line,

    /// <summary>Drives the address of a multiplexer of the measuring set-up.</summary>
    Select,
}
