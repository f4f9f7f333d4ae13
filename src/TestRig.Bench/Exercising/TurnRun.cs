using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>One turn while it is run: what its exercises captured, what could not be run, and what ended it early.</summary>
internal sealed class TurnRun(Board board, IAdapter adapter, PointsInView view, ExerciseMode mode, Turn turn, ILogger log)
{
    private readonly Dictionary<Channel, ImmutableArray<Capture>> _captures = turn.Exercises.ToDictionary(exercise => exercise.Channel, _ => ImmutableArray<Capture>.Empty);
    private readonly Dictionary<Channel, ChannelResult> _refused = [];
    private readonly List<PlannedRun> _planned = [];
    private PointSelection? _lastRound;

    /// <summary>The stop input that ended it and that is no end of travel of the channels it ended; null when none did.</summary>
    public CaptureEnding? Stop { get; private set; }

    /// <summary>True when a way back was refused behind a way forth.</summary>
    public bool Stranded { get; private set; }

    /// <summary>True when a byte on the link ended a run: how far a motor came is not known.</summary>
    public bool Broken => _captures.Values.Any(seen => seen.Any(capture => capture.Ending.Outcome == CaptureOutcome.HostByte));

    public Duration Planned { get; private set; }

    public TimeSpan Elapsed { get; private set; }

    /// <summary>
    /// Runs one after the other, as far as they can be run. What could not be finished is not begun again; but the way back from it is still gone.
    /// </summary>
    public async Task RunAsync(ImmutableArray<PlannedRun> runs, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        _planned.AddRange(runs);
        foreach (var run in runs)
        {
            if (_lastRound is not null && run.Selection != _lastRound)
                break;
            cancellation.ThrowIfCancellationRequested();
            foreach (var exercise in run.Exercises.Where(exercise => _captures[exercise.Channel].IsEmpty))
                progress.Report(new ChannelStarted(exercise.Channel));
            var names = await view.ShowAsync(run.Selection, cancellation);
            BurstRun burst;
            try
            {
                burst = await adapter.RunAsync(run.Program, cancellation);
            }
            catch (AdapterException inTheWay) when (inTheWay.Fault == AdapterFault.StopActive)
            {
                await RefuseAsync(run, inTheWay, cancellation);
                continue;
            }
            if (Keep(run, burst, names))
                break;
        }
    }

    public ChannelResult Judge(Exercise exercise, ImmutableDictionary<string, LeadState> leads)
    {
        if (_refused.TryGetValue(exercise.Channel, out var refused))
            return refused;
        var seen = _captures[exercise.Channel];
        var times = _planned.Count(run => run.Exercises.Contains(exercise));
        return seen.IsEmpty || (seen.Length < times && seen.All(capture => capture.Ending.Outcome == CaptureOutcome.Complete))
            ? ChannelResult.NotExercised(exercise.Channel, $"Exercised {seen.Length} of {times} times, since another channel's exercise could not be finished: not all of its points were seen. Sweep again.")
            : ChannelJudge.Judge(board, new(exercise, seen, leads));
    }

    /// <summary>A machine parked on a limit switch is no fault of the adapter: this channel waits, the others go on.</summary>
    private async Task RefuseAsync(PlannedRun run, AdapterException inTheWay, CancellationToken cancellation)
    {
        Stranded |= mode == ExerciseMode.Motion && _captures.Values.Any(seen => !seen.IsEmpty);
        foreach (var exercise in run.Exercises)
        {
            _refused[exercise.Channel] = ChannelResult.NotExercised(
                exercise.Channel, await ActiveStops.WordsAsync(board, adapter, exercise.Channel.Line, cancellation) ?? inTheWay.Message);
        }
        _lastRound = run.Selection;
    }

    /// <returns>True when nothing more may be run.</returns>
    private bool Keep(PlannedRun run, BurstRun burst, TestPointNames names)
    {
        if (burst.Fine is { NoUse: { } why })
            log.Information("No use of a stamp of {Pin}: {Why}", burst.Fine.Pin, why);
        Elapsed += burst.Elapsed;
        Planned += run.Program.Length;
        var capture = names.Apply(FineRepeats.Narrowed(burst));
        foreach (var exercise in run.Exercises)
            _captures[exercise.Channel] = _captures[exercise.Channel].Add(capture);
        if (capture.Ending.Outcome == CaptureOutcome.Complete)
            return false;
        _lastRound = run.Selection;
        if (run.Exercises.Any(exercise => IsEndOfTravel(capture.Ending, exercise.Channel)))
            return false;
        if (capture.Ending.Outcome == CaptureOutcome.StopInput)
            Stop = capture.Ending;
        return true;
    }

    /// <summary>A moving axis may reach the limit switch of its own line; any other stop ends the sweep.</summary>
    private bool IsEndOfTravel(CaptureEnding ending, Channel channel) =>
        mode == ExerciseMode.Motion
        && board.Stops.Any(stop => stop.Point.Name == ending.StoppedBy && stop.IsLimit && stop.Lines.Contains(channel.Line));
}
