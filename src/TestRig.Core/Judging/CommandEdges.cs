using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>One edge of the command: what the line was told, and what its own pin shows.</summary>
/// <param name="LineLevel">The level it goes to.</param>
/// <param name="Change">As captured at the pin; null when the pin did not follow.</param>
/// <param name="From">From here on what happens belongs to this edge.</param>
/// <param name="To">Until here it is waited for.</param>
public sealed record CommandEdge(Level LineLevel, Change? Change, Instant From, Instant To);

/// <summary>The on and the off edge of an exercise.</summary>
public sealed record CommandEdges(CommandEdge On, CommandEdge Off)
{
    public ImmutableArray<CommandEdge> All => [On, Off];

    /// <summary>True when the line's own pin shows both edges.</summary>
    public bool Complete => On.Change is not null && Off.Change is not null;

    /// <exception cref="ArgumentException">The capture does not show the drive line.</exception>
    public static CommandEdges Find(Exercise exercise, Capture capture) =>
        Find(exercise.Channel.Line, exercise.Channel.DrivenAt.Name, exercise.OnAt, exercise.OffAt, capture);

    /// <param name="drivenAt">The signal of the line's own pin.</param>
    /// <param name="onAt">When the line was to go on, from the capture's start.</param>
    /// <param name="offAt">When it was to go idle again.</param>
    /// <exception cref="ArgumentException">The capture does not show the drive line.</exception>
    public static CommandEdges Find(Line line, string drivenAt, Duration onAt, Duration offAt, Capture capture)
    {
        var drive = capture.Find(drivenAt) ?? throw new ArgumentException(
            $"The capture of line '{line.Name}' has no signal '{drivenAt}', where the line meets the board: the drive line must stand in the same capture.");
        Change? on = null, off = null;
        var planned = Instant.Start + onAt;
        foreach (var change in drive.Changes)
        {
            // What came before the step that commands it was not its doing.
            if (on is null && change.NotAfter >= planned && change.Level == line.Active)
                on = change;
            else if (on is not null && off is null && change.Level == line.Idle)
                off = change;
        }
        // The looks around a step are wide, but a line does not change before the step that switches it.
        on = on?.NotBefore(planned);
        off = off?.NotBefore(Instant.Start + offAt);
        // Where the pin did not follow, the plan tells when it should have.
        var onFrom = on?.After ?? planned;
        var offFrom = off?.After ?? Instant.Start + offAt;
        return new(
            new(line.Active, on, onFrom, offFrom),
            new(line.Idle, off, offFrom, capture.End));
    }
}
