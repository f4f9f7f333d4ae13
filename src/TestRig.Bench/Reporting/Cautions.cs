using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>What is said before anything is driven.</summary>
public static class Cautions
{
    public static IEnumerable<string> For(Board board, ExerciseMode mode)
    {
        yield return "TestRig is not a safety device. A hard-wired emergency stop, isolation and lock-out of energy, and your local rules and licensed practice come first.";
        yield return !board.Moves
            ? "Nothing on this board moves by command. Unplug the board's own controller, and keep off whatever its outputs switch: what they are wired to may be live."
            : mode == ExerciseMode.Motion
            ? "The machine WILL MOVE. Clear the area, guard it, unplug the board's own controller, and keep a hand on the emergency stop."
            : "Logic only: the motor supply must be off and locked out, stored energy released, and the board's own controller unplugged.";
        if (board.Controller is { } controller)
            yield return $"The board's own controller: {controller.DisabledBy}.{(controller.SensedAt is null ? " Nothing senses it, and an idle controller cannot be told from an unplugged one: two drivers on one line damage each other." : "")}";
        foreach (var caution in BackFeeding(board))
            yield return caution;
        foreach (var caution in OwnOf(board, mode))
            yield return caution;
    }

    /// <summary>What is said with the verdict on a recording: nothing was driven for it, and somebody goes to the board because of it.</summary>
    public static IEnumerable<string> ForRecording(Board board, ExerciseMode mode)
    {
        yield return "Nothing was driven to judge this recording. Whoever repairs by it: isolation and lock-out of energy, and your local rules and licensed practice come first.";
        yield return board.Moves
            ? "Before you touch the machine: the supplies of the board and of its motors off and locked out, and stored energy released; springs, raised loads and charged capacitors move without a command."
            : "Before you touch the board: its supplies off, stored energy released, and nothing live at what its outputs switch.";
        foreach (var caution in OwnOf(board, mode))
            yield return caution;
    }

    /// <summary>Where something moves, the profile's own speak of that.</summary>
    private static ImmutableArray<string> OwnOf(Board board, ExerciseMode mode) => mode == ExerciseMode.Motion || !board.Moves ? board.Cautions : [];

    /// <summary>
    /// A line that the adapter holds high feeds a board that is off, through the inputs of the part that receives it. A sensed supply is checked before; of the
    /// others only the operator knows.
    /// </summary>
    private static IEnumerable<string> BackFeeding(Board board) => board.Channels
        .Where(channel => channel.Line.Idle == Level.High)
        .Select(channel => channel.Stages[0].Part)
        .Where(part => part.InputSupply is { } supply && supply.SensedAt?.AdapterPin is null)
        .GroupBy(part => part.InputSupply!.Name)
        .Select(of => $"Nothing senses supply '{of.Key}'. See that it is on: the adapter holds lines high, and would feed {string.Join(", ", of.Select(part => part.Name).Distinct())} backwards through the inputs if it were off.");

    /// <summary>What the adapter itself cannot do, by what it says of itself; nothing for a device that enforces its limits.</summary>
    public static IEnumerable<string> For(AdapterIdentity adapter)
    {
        if (!adapter.IsHostTimed)
            yield break;
        yield return "Limits and stop inputs are enforced by this computer only, which is weaker than a device's own: if it hangs, crashes or loses the adapter, lines stay as they are. Keep the board's own switch at hand.";
        if (!adapter.ReadsLinesBack)
            yield return "This adapter does not read its own lines while it drives them: of each line the record shows when it was told, not what it did.";
        if (!adapter.ArmsHighCleanly)
            yield return "A line that idles high may be low for some milliseconds when this adapter is armed, which is a command: harmless only where nothing can move.";
    }
}
