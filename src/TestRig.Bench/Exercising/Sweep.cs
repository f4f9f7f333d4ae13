using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Every channel exercised and judged once: supplies, levels before driving, leads, each channel in turn, quiet again. Whatever happens, the
/// adapter is released at the end: lines idle.
/// </summary>
public sealed class Sweep(Board board, IAdapter adapter, SweepOptions options, TimeProvider time, ILogger log)
{
    /// <summary>A step may be late by one resolution and a state's end early by none; within the two that are left a look has begun and ended.</summary>
    private const int ResolutionsOfState = 3;

    private readonly SweepOptions _options = options.On(board);
    private readonly TestPointNames _names = new(board);
    private readonly List<CheckDone> _checks = [];
    private readonly Dictionary<Channel, ChannelResult> _results = [];
    private Duration _planned;
    private TimeSpan _elapsed;

    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was driven.</exception>
    public async Task<SweepResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        var started = time.GetLocalNow();
        var exercises = PlanAll();
        SweepEnding ending;
        try
        {
            ending = await DriveAllAsync(exercises, progress, cancellation).ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Cancelled: lines are idle, what was judged so far is kept.");
        }
        catch (AdapterException fault)
        {
            log.Error(fault, "The adapter failed");
            ending = new(SweepOutcome.AdapterFailed, fault.Message);
        }

        ending = await ReleaseAsync(ending).ConfigureAwait(false);
        var channels = board.Channels.Select(channel => _results.GetValueOrDefault(channel) ?? NotReached(channel, ending)).ToImmutableArray();
        return new(
            board, adapter.Identity, _options.Mode, started, channels, [.. _checks], Diagnoser.Diagnose(board, channels), ending, _planned, _elapsed);
    }

    private ImmutableArray<Exercise> PlanAll()
    {
        var analog = adapter.Pins.Where(pin => pin.Analog).Select(pin => pin.Name).ToImmutableHashSet();
        var layout = ExerciseOptions.For(adapter.Identity.SampleTime) with
        {
            Seeing = adapter.Identity.IsHostTimed ? adapter.Identity.Resolution * ResolutionsOfState : Duration.Zero,
        };
        var problems = new List<string>();
        var exercises = ImmutableArray.CreateBuilder<Exercise>();
        foreach (var channel in Scheduler.Order(board, _options.Mode))
        {
            try
            {
                var exercise = Scheduler.Plan(channel, _options.Mode, layout, analog);
                if (exercise.Program.Length > adapter.Identity.LongestProgram)
                    problems.Add($"Channel '{channel.Name}' needs a program of {exercise.Program.Length}; this adapter runs {adapter.Identity.LongestProgram} at most.");
                exercises.Add(exercise);
            }
            catch (ArgumentException problem)
            {
                problems.Add(problem.Message);
            }
        }
        return problems.Count > 0 ? throw new ProfileMismatchException(problems) : exercises.ToImmutable();
    }

    private async Task<SweepEnding> DriveAllAsync(
        ImmutableArray<Exercise> exercises, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var preparation = new Preparation(board, adapter, _options, _names);
        foreach (var step in preparation.BeforeArming)
        {
            if (await RunCheckAsync(step, progress, cancellation).ConfigureAwait(false) is { } notReady)
                return notReady;
        }

        await adapter.ArmAsync(BoardLimits.Of(board, exercises.Max(exercise => exercise.Program.Length)), cancellation).ConfigureAwait(false);
        log.Information("Armed: {Lines} lines at idle", board.Lines.Length);
        var (leads, leadCheck) = await preparation.CheckLeadsAsync(cancellation).ConfigureAwait(false);
        Report(leadCheck, progress);
        if (await RunCheckAsync(preparation.IdleLevelsAsync, progress, cancellation).ConfigureAwait(false) is { } stopped)
            return stopped;

        foreach (var exercise in exercises)
        {
            cancellation.ThrowIfCancellationRequested();
            progress.Report(new ChannelStarted(exercise.Channel));
            var result = await ExerciseAsync(exercise, leads, cancellation).ConfigureAwait(false);
            _results[exercise.Channel] = result;
            log.Information("Channel {Channel}: {Condition}. {Summary}", exercise.Channel.Name, Words.Of(result.Condition), result.Summary);
            progress.Report(new ChannelJudged(result));
            if (QuietJudge.Motion(board, _options.Mode, result.Findings) is { } motion)
            {
                return new(SweepOutcome.StoppedForSafety,
                    $"{motion.Words} In logic-only mode nothing may move: switch the motor supply off and lock it out, then sweep again.");
            }
            if (result.Capture?.Ending is { Outcome: CaptureOutcome.StopInput } ending && !IsEndOfTravel(ending, exercise.Channel))
                return new(SweepOutcome.StoppedForSafety, $"Stop input {ending.StoppedBy} became active. All lines are idle. Find out why before going on.");
            if (result.Capture?.Ending.Outcome == CaptureOutcome.HostByte && cancellation.IsCancellationRequested)
                throw new OperationCanceledException(cancellation);
        }

        return await RunCheckAsync(preparation.QuietAgainAsync, progress, cancellation).ConfigureAwait(false) ?? SweepEnding.Complete;
    }

    /// <summary>A moving axis may reach the limit switch of its own line; any other stop ends the sweep.</summary>
    private bool IsEndOfTravel(CaptureEnding ending, Channel channel) =>
        _options.Mode == ExerciseMode.Motion
        && board.Stops.Any(stop => stop.Point.Name == ending.StoppedBy && stop.Lines.SequenceEqual([channel.Line]));

    private async Task<SweepEnding?> RunCheckAsync(
        Func<CancellationToken, Task<(CheckDone Check, SweepEnding? Ending)>> check, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var (done, ending) = await check(cancellation).ConfigureAwait(false);
        Report(done, progress);
        return ending;
    }

    private void Report(CheckDone check, IProgress<SweepEvent> progress)
    {
        _checks.Add(check);
        log.Information("Check {Check}: {Good}, {Words}", check.Name, Words.Of(check), check.Words);
        progress.Report(check);
    }

    private async Task<ChannelResult> ExerciseAsync(
        Exercise exercise, ImmutableDictionary<string, LeadState> leads, CancellationToken cancellation)
    {
        BurstRun run;
        try
        {
            run = await adapter.RunAsync(exercise.Program, cancellation).ConfigureAwait(false);
        }
        catch (AdapterException refused) when (refused.Fault == AdapterFault.StopActive)
        {
            // A machine parked on a limit switch is no fault of the adapter: this channel waits, the others go on.
            return NotExercised(exercise.Channel, await ActiveStops.WordsAsync(board, adapter, exercise.Channel.Line, cancellation).ConfigureAwait(false) ?? refused.Message);
        }
        _elapsed += run.Elapsed;
        _planned += exercise.Program.Length;
        return ChannelJudge.Judge(board, new(exercise, _names.Apply(run.Capture), leads));
    }

    private async Task<SweepEnding> ReleaseAsync(SweepEnding ending)
    {
        if (ending.Outcome == SweepOutcome.AdapterFailed)
            return ending;
        try
        {
            await adapter.ReleaseAsync(CancellationToken.None).ConfigureAwait(false);
            log.Information("Released: lines idle");
            return ending;
        }
        catch (AdapterException fault)
        {
            log.Error(fault, "The adapter could not be released");
            return new(SweepOutcome.AdapterFailed, $"{fault.Message} {AfterLostRelease.Words(adapter.Identity)}");
        }
    }

    private static ChannelResult NotReached(Channel channel, SweepEnding ending) =>
        NotExercised(channel, ending.Words.Length > 0 ? $"Not exercised: {ending.Words}" : "Not exercised.");

    private static ChannelResult NotExercised(Channel channel, string words) => new(channel, Condition.NotTested, [], null, [], null, words);
}
