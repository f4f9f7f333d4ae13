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
    private readonly ImmutableHashSet<string> _crossing = [.. pins.Where(pin => pin.Crossing).Select(pin => pin.Name)];

    /// <summary>
    /// The runs of the turn that are worth repeating, each with the change to stamp. None where something moves, since a repeat would move it again; none where a
    /// channel does not work or could not be tested, since its delays are not what is in question.
    /// </summary>
    /// <param name="results">Of the turn's channels, from the looks alone.</param>
    public ImmutableArray<PlannedRun> Of(Turn turn, ImmutableArray<ChannelResult> results)
    {
        if ((_fine.IsEmpty && _crossing.IsEmpty) || results.Any(result => result.Condition != Condition.Working))
            return [];
        return
        [
            .. turn.Runs.SelectMany(run => run.Exercises
                .Where(exercise => exercise.Mode == ExerciseMode.LogicOnly)
                .SelectMany(exercise => results.Where(result => result.Channel == exercise.Channel))
                .SelectMany(result => result.Findings
                    .Where(finding => finding.Timing == Timing.NotResolved && finding.Latest - finding.Earliest > tick)
                    .SelectMany(finding => Stamped(result, finding, run.Selection)))
                .Distinct()
                .Select(fine => run with { Program = With(run.Program, fine) })),
        ];
    }

    /// <summary>
    /// The capture of such a run, in which the stamped change is known by both: by the looks and by its stamp. As the looks made it where there is no stamp
    /// that can be used.
    /// </summary>
    public static Capture Narrowed(BurstRun burst) => burst.Fine?.Stamp is { } stamp
        ? burst.Capture.Narrowed(burst.Fine.Pin, stamp.Change)
        : burst.Capture;

    /// <summary>A crossing is stamped while the converter is off. The voltages were read in the run before, and a level does not differ from one run to the next.</summary>
    private static StimulusProgram With(StimulusProgram program, FinePoint fine) => fine.Edge is null
        ? program with { Fine = fine }
        : program with { Fine = fine, Steps = [.. program.Steps.Where(step => step is not MeasureStep)] };

    /// <summary>
    /// The delay's end, or else its beginning, where it stands at a pin whose changes hardware can stamp. Where neither does, whichever of them stands at a pin at which it
    /// can stamp a crossing: which of the two it tells more of depends on their edges.
    /// </summary>
    private IEnumerable<FinePoint> Stamped(ChannelResult result, Finding finding, PointSelection selection)
    {
        var channel = result.Channel;
        var stage = finding.Stage!.Value; // a delay is always a stage's
        var arrived = finding.Expected == Expectation.Rises ? Level.High : Level.Low;
        var line = channel.LevelAfter(stage, channel.Line.Active) == arrived ? channel.Line.Active : channel.Line.Idle;
        var cause = Array.FindIndex([.. channel.Stages], other => other.OutputName == finding.Cause);
        List<(string Point, int Stage, Level Level)> ends = [(finding.TestPoint, stage, arrived)];
        if (finding.Cause is { } name)
            ends.Add((name, cause, cause < 0 ? line : channel.LevelAfter(cause, line)));
        ImmutableArray<FinePoint> changes = [.. ends.Select(end => Change(end.Point, end.Level)).OfType<FinePoint>()];
        return changes.IsEmpty ? ends.Where(end => end.Stage >= 0).Select(end => Crossing(end.Point, end.Stage, end.Level)).OfType<FinePoint>() : changes.Take(1);

        FinePoint? Change(string point, Level level) =>
            Seen(point)?.AdapterPin is { } pin && _fine.Contains(pin) ? new(pin, level) : null;

        FinePoint? Crossing(string point, int at, Level level) =>
            Seen(point) is { AdapterPin: { } pin } seen
            && _crossing.Contains(pin)
            && Read(point, Expectation.LowLevel) is { } low
            && Read(point, Expectation.HighLevel) is { } high
            && PinEdge.Of(seen, channel.Stages[at], level, low, high) is { } edge
                ? new(pin, level) { Edge = edge }
                : null;

        TestPoint? Seen(string point) => selection.Points.FirstOrDefault(seen => seen.Name == point);

        Volts? Read(string point, Expectation level) =>
            result.Findings.FirstOrDefault(other => other.TestPoint == point && other.Expected == level && other.Verdict == Verdict.Conforms)?.Level;
    }
}
