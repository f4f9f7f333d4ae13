using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Learning;

/// <summary>One pulse of a draft is over.</summary>
public sealed record DraftPulseDone(Line Line, int Number, int Of) : SweepEvent;

/// <summary>What a draft's pulses came to.</summary>
/// <param name="Findings">Null where they did not come to their end.</param>
public sealed record DraftResult(DraftFindings? Findings, SweepEnding Ending, LinkHealth? Link);

/// <summary>
/// Pulses each line of a board without a profile briefly and some times, prepared, limited and watched as a sweep is: logic only, since nobody knows what moves. Whatever happens, the adapter is released at
/// the end: lines idle.
/// </summary>
/// <param name="options">Logic only.</param>
/// <param name="repeats">Pulses on each line while a point is seen, at least 1.</param>
public sealed class DraftRun(PointsFile points, IAdapter adapter, SweepOptions options, int repeats)
{
    private static readonly Duration _leadIn = Duration.FromMilliseconds(5);

    /// <summary>How long a line is on where it may be: long enough for a relay and its bounce (common practice: 5 to 20 ms).</summary>
    private static readonly Duration _usualOn = Duration.FromMilliseconds(60);

    /// <summary>Watched after each pulse.</summary>
    private static readonly Duration _watched = Duration.FromMilliseconds(60);

    /// <summary>Clear of a line's own limit by this much: whoever serves the steps counts the on-time too.</summary>
    private static readonly Duration _margin = Duration.FromMilliseconds(1);

    private readonly Board _board = points.Board;
    private readonly PointsInView _view = new(points.Board, adapter);
    private readonly StimulusPhase _phase = new(adapter.Identity.Look > Duration.Zero ? adapter.Identity.Look : adapter.Identity.Resolution, adapter.Identity.Tick);
    private readonly List<DraftPulse> _pulses = [];

    /// <exception cref="ProfileMismatchException">The points do not fit the adapter, or a line's limits leave no room for a pulse; nothing was driven.</exception>
    public async Task<DraftResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(_board, adapter);
        CheckLimits();
        SweepEnding ending;
        try
        {
            ending = await DriveAsync(progress, cancellation);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Cancelled: lines are idle, and nothing is drafted.");
        }
        catch (AdapterException fault)
        {
            return new(null, new(SweepOutcome.AdapterFailed, fault.Message), adapter.Link);
        }

        ending = await LastRelease.MakeAsync(adapter, ending);
        return new(ending.Outcome == SweepOutcome.Complete ? Findings() : null, ending, adapter.Link);
    }

    /// <summary>How long the pulses of a line are.</summary>
    public Duration OnTime(Line line) => Duration.Min(_usualOn + (adapter.Identity.StepLateness * 3), line.LongestOn - _margin - adapter.Identity.StepLateness);

    /// <summary>Of stop inputs it is known what they are; and none of them changed, or the draft would have ended.</summary>
    private DraftFindings Findings() =>
        new DraftInference(_board.Lines, [.. points.Clipped.Except(_board.Stops.Select(stop => stop.Point)).Select(point => point.Name)], adapter.Identity.Look).Of([.. _pulses]);

    private void CheckLimits()
    {
        // What happens within a few looks of the command could not be told from nothing.
        var least = Duration.Max(_margin, adapter.Identity.Resolution * 3);
        List<string> problems =
        [
            .. _board.Lines.Where(line => OnTime(line) < least)
                .Select(line => $"Line '{line.Name}' may be on for {line.LongestOn} at most; to see what answers it takes {least + _margin + adapter.Identity.StepLateness}. Raise longest-on if the board allows it."),
            .. _board.Lines.Where(line => Program(line, _phase.Period).Length > adapter.Identity.LongestProgram)
                .Select(line => $"Line '{line.Name}' needs a program of {Program(line, _phase.Period).Length}; this adapter runs {adapter.Identity.LongestProgram} at most."),
        ];
        if (problems.Count > 0)
            throw new ProfileMismatchException(problems);
    }

    private StimulusProgram Program(Line line, Duration phase)
    {
        var on = _leadIn + phase;
        var off = on + OnTime(line);
        return new([new LinesStep(on, [line.AdapterPin]), new LinesStep(off, [])], off + _watched);
    }

    private async Task<SweepEnding> DriveAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var preparation = new Preparation(_board, adapter, options, _view);
        var limits = BoardLimits.Of(_board, _board.Lines.Max(line => Program(line, _phase.Period).Length));
        if (await preparation.ArmAsync(limits, progress, cancellation) is { } notReady)
            return notReady;
        foreach (var line in _board.Lines)
        {
            for (var repeat = 0; repeat < repeats; repeat++)
            {
                if (await PulseAsync(line, _phase.Of(repeat), cancellation) is { } stopped)
                    return stopped;
            }
            progress.Report(new DraftPulseDone(line, repeats, _view.Selections.Length));
        }
        return await Preparation.MakeAsync(preparation.QuietAgainAsync, progress, cancellation) ?? SweepEnding.Complete;
    }

    /// <summary>One pulse for each selection of points. Null when the draft can go on.</summary>
    private async Task<SweepEnding?> PulseAsync(Line line, Duration phase, CancellationToken cancellation)
    {
        foreach (var selection in _view.Selections)
        {
            cancellation.ThrowIfCancellationRequested();
            var names = await _view.ShowAsync(selection, cancellation);
            BurstRun run;
            try
            {
                run = await adapter.RunAsync(Program(line, phase), cancellation);
            }
            catch (AdapterException refused) when (refused.Fault == AdapterFault.StopActive)
            {
                return new(SweepOutcome.StoppedForSafety, await ActiveStops.WordsAsync(_board, adapter, line, cancellation) ?? refused.Message);
            }
            var capture = names.Apply(run.Capture);
            if (capture.Ending.Outcome == CaptureOutcome.HostByte)
            {
                cancellation.ThrowIfCancellationRequested();
                return new(SweepOutcome.AdapterFailed, "A byte on the link ended the pulse, and this program did not send it. Check the cable and what else is on the port.");
            }
            if (MotionDisturbance.Words(_board, capture) is { } disturbance)
                return new(SweepOutcome.StoppedForSafety, disturbance);
            _pulses.Add(new(line, points.DrivenAt[line.Name].Name, _leadIn + phase, _leadIn + phase + OnTime(line), capture));
        }
        return null;
    }
}
