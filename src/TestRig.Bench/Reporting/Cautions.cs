using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Reporting;

/// <summary>What is said before anything is driven.</summary>
public static class Cautions
{
    public static IEnumerable<string> For(Board board, ExerciseMode mode)
    {
        yield return "TestRig is not a safety device. A hard-wired emergency stop, isolation and lock-out of energy, and your local rules and licensed practice come first.";
        yield return mode == ExerciseMode.Motion
            ? "The machine WILL MOVE. Clear the area, guard it, unplug the board's own controller, and keep a hand on the emergency stop."
            : "Logic only: the motor supply must be off and locked out, stored energy released, and the board's own controller unplugged.";
        // The profile's own speak of what moves.
        foreach (var caution in mode == ExerciseMode.Motion ? board.Cautions : [])
            yield return caution;
    }
}
