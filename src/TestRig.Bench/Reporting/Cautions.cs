using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
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
        // Where something moves, the profile's own speak of that.
        foreach (var caution in mode == ExerciseMode.Motion || !board.Moves ? board.Cautions : [])
            yield return caution;
    }

    /// <summary>What the adapter itself cannot do, by what it says of itself; nothing for a device that enforces its limits.</summary>
    public static IEnumerable<string> For(AdapterIdentity adapter)
    {
        if (!adapter.IsHostTimed)
            yield break;
        yield return "Limits and stop inputs are enforced by this computer only, which is weaker than a device's own: if it hangs, crashes or loses the adapter, lines stay as they are. Keep the board's own switch at hand.";
        if (!adapter.TakesFiveVolts)
            yield return "The pins of most computers take 3.3 V and no more, and a profile is checked for 5 V only: no lead that can carry more may go to a pin without a divider or a level shifter.";
        if (!adapter.ReadsLinesBack)
            yield return "This adapter does not read its own lines while it drives them: of each line the record shows when it was told, not what it did.";
        if (!adapter.ArmsHighCleanly)
            yield return "A line that idles high may be low for some milliseconds when this adapter is armed, which is a command: harmless only where nothing can move.";
    }
}
