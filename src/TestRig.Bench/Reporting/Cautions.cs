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
}
