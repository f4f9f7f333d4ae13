using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Repeats of exercises in which hardware stamps one change beside the looks: for delays of which the looks alone cannot tell whether they keep their window. Hardware
/// stamps one change in a run, so each such change is a run of its own.
/// </summary>
/// <param name="tick">The step of the adapter's clock, and of its stamps: a window narrower than that is beyond them too.</param>
internal sealed class FineRepeats(ImmutableArray<AdapterPin> pins, Duration tick)
{
    private readonly ImmutableHashSet<string> _fine = [.. pins.Where(pin => pin.Fine).Select(pin => pin.Name)];

    /// <summary>
    /// The runs of the turn that are worth repeating, each with the change to stamp. None where something moves, since a repeat would move it again; none where a
    /// channel does not work or could not be tested, since its delays are not what is in question.
    /// </summary>
    /// <param name="results">Of the turn's channels, from the looks alone.</param>
    public ImmutableArray<PlannedRun> Of(Turn turn, ImmutableArray<ChannelResult> results)
    {
        if (_fine.IsEmpty || results.Any(result => result.Condition != Condition.Working))
            return [];
        return
        [
            .. turn.Runs.SelectMany(run => run.Exercises
                .Where(exercise => exercise.Mode == ExerciseMode.LogicOnly)
                .SelectMany(exercise => results.Where(result => result.Channel == exercise.Channel)
                    .SelectMany(result => result.Findings)
                    .Where(finding => finding.Timing == Timing.NotResolved && finding.Latest - finding.Earliest > tick)
                    .Select(finding => Stamped(exercise.Channel, finding, run.Selection)))
                .OfType<FinePoint>()
                .Distinct()
                .Select(fine => run with { Program = run.Program with { Fine = fine } })),
        ];
    }

    /// <summary>
    /// The capture of such a run, in which the stamped change is known by both: by the looks and by its stamp. As the looks made it where there is no stamp
    /// that can be used.
    /// </summary>
    public static Capture Narrowed(BurstRun burst) => burst.Fine?.Stamp is { } stamp
        ? burst.Capture.Narrowed(burst.Fine.Pin, stamp.Change)
        : burst.Capture;

    /// <summary>The delay's end, or else its beginning, where it stands at a pin that hardware can stamp; null where neither does.</summary>
    private FinePoint? Stamped(Channel channel, Finding finding, PointSelection selection)
    {
        var stage = finding.Stage!.Value; // a delay is always a stage's
        var arrived = finding.Expected == Expectation.Rises ? Level.High : Level.Low;
        var line = channel.LevelAfter(stage, channel.Line.Active) == arrived ? channel.Line.Active : channel.Line.Idle;
        var cause = Array.FindIndex([.. channel.Stages], other => other.OutputName == finding.Cause);
        return At(finding.TestPoint, arrived) ?? (finding.Cause is { } name ? At(name, cause < 0 ? line : channel.LevelAfter(cause, line)) : null);

        FinePoint? At(string point, Level level) =>
            selection.Points.FirstOrDefault(seen => seen.Name == point)?.AdapterPin is { } pin && _fine.Contains(pin) ? new(pin, level) : null;
    }
}
