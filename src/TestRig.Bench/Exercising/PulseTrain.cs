using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Pulses one line over and over while a person looks with other instruments: prepared, limited and watched as a sweep is. Whatever happens, the
/// adapter is released at the end: lines idle.
/// </summary>
public sealed class PulseTrain(Board board, IAdapter adapter, PulsePlan plan, SweepOptions options, TimeProvider time)
{
    /// <summary>Of <see cref="TimeSpan"/>.</summary>
    private const long PicosecondsPerTick = 100_000;

    private readonly SweepOptions _options = options.On(board);
    private readonly PointsInView _view = new(board, adapter);
    private int _pulses;
    private int _late;

    /// <param name="progress">Gets each check, and each pulse when it is over.</param>
    /// <param name="cancellation">The ordinary way to end a train without a count.</param>
    /// <exception cref="ProfileMismatchException">The plan breaks a limit, or profile and adapter do not fit; nothing was driven.</exception>
    public async Task<PulseResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        if (plan.Problems(board, adapter) is { Count: > 0 } problems)
            throw new ProfileMismatchException(problems);
        SweepEnding ending;
        try
        {
            ending = await DriveAsync(progress, cancellation);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Ended as told: lines are idle.");
        }
        catch (AdapterException fault)
        {
            return new(_pulses, _late, new(SweepOutcome.AdapterFailed, fault.Message)) { Link = adapter.Link };
        }

        ending = await LastRelease.MakeAsync(adapter, ending);
        return new(_pulses, _late, ending) { Link = adapter.Link };
    }

    private async Task<SweepEnding> DriveAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var preparation = new Preparation(board, adapter, _options, _view);
        var limits = BoardLimits.Of(board, plan.ProgramLength);
        if (plan.Marker is { } marker)
            limits = limits with { Lines = limits.Lines.Add(new(marker, Level.Low, plan.Line.LongestOn, Duration.Zero, [])) };
        return await preparation.ArmAsync(limits, progress, cancellation)
            ?? await Preparation.MakeAsync(preparation.IdleLevelsAsync, progress, cancellation)
            ?? await PulseAsync(progress, cancellation)
            ?? await Preparation.MakeAsync(preparation.QuietAgainAsync, progress, cancellation)
            ?? SweepEnding.Complete;
    }

    private async Task<SweepEnding?> PulseAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        ImmutableArray<string> on = plan.Marker is { } marker ? [plan.Line.AdapterPin, marker] : [plan.Line.AdapterPin];
        var program = new StimulusProgram(
            [new LinesStep(PulsePlan.LeadIn, on), new LinesStep(PulsePlan.LeadIn + plan.On, [])], plan.ProgramLength);
        var every = TimeSpan.FromTicks(plan.Every.Picoseconds / PicosecondsPerTick);
        var started = time.GetTimestamp();
        while (plan.Count is not { } count || _pulses < count)
        {
            var wait = _pulses == 0 ? TimeSpan.Zero : every - time.GetElapsedTime(started);
            if (wait > TimeSpan.Zero)
                await Task.Delay(wait, time, cancellation);
            var late = wait < TimeSpan.Zero;
            started = time.GetTimestamp();
            // Behind multiplexers the points are watched in turn.
            var names = await _view.ShowAsync(_view.Selections[_pulses % _view.Selections.Length], cancellation);
            BurstRun run;
            try
            {
                run = await adapter.RunAsync(program, cancellation);
            }
            catch (AdapterException refused) when (refused.Fault == AdapterFault.StopActive)
            {
                return new(
                    SweepOutcome.StoppedForSafety,
                    await ActiveStops.WordsAsync(board, adapter, plan.Line, cancellation) ?? refused.Message);
            }
            if (run.Capture.Ending.Outcome != CaptureOutcome.HostByte)
            {
                _pulses++;
                _late += late ? 1 : 0;
                progress.Report(new PulseDone(_pulses, late));
            }
            if (Disturbance(names.Apply(run.Capture)) is { } disturbance)
                return new(SweepOutcome.StoppedForSafety, disturbance);
            cancellation.ThrowIfCancellationRequested();
            if (run.Capture.Ending.Outcome == CaptureOutcome.HostByte)
                return new(SweepOutcome.AdapterFailed, "A byte on the link ended the pulse, and this program did not send it. Check the cable and what else is on the port.");
        }
        return null;
    }

    private string? Disturbance(Capture capture) =>
        _options.Mode == ExerciseMode.Motion ? MotionDisturbance.StopWords(capture) : MotionDisturbance.Words(board, capture, ", or use --allow-motion");
}
