using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Every channel exercised and judged, once or in several rounds: supplies, levels before driving, leads, the channels one by one or together, quiet again. Whatever happens, the
/// adapter is released at the end: lines idle.
/// </summary>
public sealed class Sweep(Board board, IAdapter adapter, SweepOptions options, TimeProvider time, ILogger log)
{
    /// <summary>A step may be late by one resolution and a state's end early by none; within the two that are left a look has begun and ended.</summary>
    private const int ResolutionsOfState = 3;

    private readonly SweepOptions _options = options.On(board);
    private readonly PointsInView _view = new(board, adapter);
    private readonly Preparation _preparation = new(board, adapter, options.On(board), new(board, adapter));
    private readonly FineRepeats _fineRepeats = new(adapter.Pins, adapter.Identity.Tick);
    private readonly ExerciseOptions _layout = ExerciseOptions.For(adapter.Identity.SampleTime) with
    {
        Seeing = adapter.Identity.StepLateness * ResolutionsOfState,
        StepLateness = adapter.Identity.StepLateness,
    };
    private readonly ImmutableHashSet<string> _analogPins = [.. adapter.Pins.Where(pin => pin.Analog).Select(pin => pin.Name)];
    private readonly List<CheckDone> _checks = [];
    private readonly Dictionary<Channel, ChannelRepeats> _repeats = [];
    private readonly Dictionary<Channel, ChannelResult> _round = [];
    private readonly List<SweepRound> _rounds = [];
    private readonly StimulusPhase _phase = new(adapter.Identity.Look > Duration.Zero ? adapter.Identity.Look : adapter.Identity.Resolution, adapter.Identity.Tick);
    private (Duration Phase, ImmutableArray<Turn> Turns)? _plan;
    private Duration _planned;
    private TimeSpan _elapsed;

    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was driven.</exception>
    public async Task<SweepResult> RunAsync(IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var result = await MeasureAsync(progress, cancellation);
        return result with { Diagnosis = BoardDiagnosis.Of(result, adapter.Pins) };
    }

    /// <summary>The same without a diagnosis.</summary>
    internal Task<SweepResult> MeasureAsync(IProgress<SweepEvent> progress, CancellationToken cancellation) => MeasureAsync(check: true, progress, cancellation);

    /// <summary>The same of a board that does not exist, and so cannot be harmed: what others drove and recorded was not checked before, either.</summary>
    internal Task<SweepResult> MeasureUncheckedAsync(IProgress<SweepEvent> progress, CancellationToken cancellation) => adapter.Identity.IsSimulated
        ? MeasureAsync(check: false, progress, cancellation)
        : throw new InvalidOperationException("A board is checked before it is driven.");

    private async Task<SweepResult> MeasureAsync(bool check, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        var started = time.GetLocalNow();
        // Whatever its phase, each round has to fit.
        var turns = PlanAll(_options.Repeats > 1 ? _phase.Period : Duration.Zero);
        SweepEnding ending;
        try
        {
            ending = await DriveAllAsync(turns, check, progress, cancellation);
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

        ending = await LastRelease.MakeAsync(adapter, ending, log);
        var channels = board.Channels.Select(channel => _repeats.GetValueOrDefault(channel)?.Result ?? NotReached(channel, ending)).ToImmutableArray();
        foreach (var result in _options.Repeats > 1 ? channels : [])
            progress.Report(new ChannelJudged(result));
        return new(
            board, adapter.Identity, _options.Mode, started, channels, [.. _checks], Diagnosis.None, ending, _planned, _elapsed)
        {
            Together = _options.Together,
            Repeats = _options.Repeats,
            Rounds = _options.Repeats > 1 ? [.. _rounds] : [],
            Link = adapter.Link,
            Seen =
            [
                .. _preparation.SeenSoFar,
                .. channels.SelectMany(channel => ChannelSights.Of(board, channel)),
                new(Sight.Beside("", SightKind.Ending), (int)ending.Outcome, ending.Outcome is not (SweepOutcome.Cancelled or SweepOutcome.AdapterFailed)),
            ],
        };
    }

    /// <summary>Planned once for each phase on end: the only round of most sweeps was planned before it began.</summary>
    private ImmutableArray<Turn> PlanAll(Duration phase)
    {
        if (_plan is not { } known || known.Phase != phase)
            _plan = known = (phase, PlanAnew(phase));
        return known.Turns;
    }

    private ImmutableArray<Turn> PlanAnew(Duration phase)
    {
        // Alone each channel has to fit, whether it is exercised together with others or not.
        var singly = PlanSingly(board.Channels, phase);
        if (!_options.Together)
            return singly;
        if (board.LinesOnTogether is not { } most)
            throw new ProfileMismatchException(["The profile does not say how many lines may be on at the same time. Write for example 'lines-on-together: 2', not more than supplies and drivers bear; or sweep one channel at a time."]);
        return [.. Scheduler.Together(board, _options.Mode, most, Fits).Select(order => Plan(order, phase))];
    }

    private ImmutableArray<Turn> PlanSingly(ImmutableArray<Channel> channels, Duration phase)
    {
        var problems = new List<string>();
        var turns = ImmutableArray.CreateBuilder<Turn>();
        foreach (var order in Scheduler.Singly(channels, _options.Mode, _view.Selections.Length))
        {
            try
            {
                var turn = Plan(order, phase);
                if (turn.Longest > adapter.Identity.LongestProgram)
                    problems.Add($"Channel '{order.Channels[0].Name}' needs a program of {turn.Longest}; this adapter runs {adapter.Identity.LongestProgram} at most.");
                turns.Add(turn);
            }
            catch (ArgumentException problem)
            {
                problems.Add(problem.Message);
            }
        }
        return problems.Count > 0 ? throw new ProfileMismatchException(problems) : turns.ToImmutable();
    }

    private Turn Plan(TurnOrder order, Duration phase) => Scheduler.Plan(order, _options.Mode, _layout with { Phase = phase }, _analogPins, _view.Selections);

    private bool Fits(TurnOrder order)
    {
        try
        {
            return Plan(order, _phase.Period).Longest <= adapter.Identity.LongestProgram;
        }
        catch (ArgumentException)
        {
            // Together the lines would be on for too long; alone they have been planned already.
            return false;
        }
    }

    private async Task<SweepEnding> DriveAllAsync(ImmutableArray<Turn> turns, bool check, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        foreach (var step in check ? _preparation.BeforeArming : [])
        {
            if (await RunCheckAsync(step, progress, cancellation) is { } notReady)
                return notReady;
        }

        await adapter.ArmAsync(BoardLimits.Of(board, turns.Max(turn => turn.Longest)), cancellation);
        log.Information("Armed: {Lines} lines at idle", board.Lines.Length);
        if (!check)
            return await GoRoundAsync(Duration.Zero, ImmutableDictionary<string, LeadState>.Empty, progress, cancellation) ?? SweepEnding.Complete;
        var (leads, leadCheck) = await _preparation.CheckLeadsAsync(cancellation);
        Report(leadCheck, progress);
        if (_preparation.ControllerLead(leads) is var (controllerCheck, controllerEnding))
        {
            Report(controllerCheck, progress);
            if (controllerEnding is not null)
                return controllerEnding;
        }
        if (await RunCheckAsync(_preparation.IdleLevelsAsync, progress, cancellation) is { } stopped)
            return stopped;

        for (var round = 0; round < _options.Repeats; round++)
        {
            var (started, stamp) = (time.GetLocalNow(), time.GetTimestamp());
            try
            {
                if (await GoRoundAsync(_phase.Of(round), leads, progress, cancellation) is { } ended)
                    return ended;
            }
            finally
            {
                // What it found until something ended it was found.
                _rounds.Add(new(started, time.GetElapsedTime(stamp), [.. board.Channels.Where(_round.ContainsKey).Select(channel => _round[channel])]));
            }
            if (_options.Repeats > 1)
                progress.Report(new RoundDone(round + 1, _options.Repeats, _rounds[^1].Channels));
        }

        return await RunCheckAsync(_preparation.QuietAgainAsync, progress, cancellation) ?? SweepEnding.Complete;
    }

    /// <summary>Exercises and judges every channel once. Null when the sweep can go on.</summary>
    private async Task<SweepEnding?> GoRoundAsync(
        Duration phase, ImmutableDictionary<string, LeadState> leads, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        _round.Clear();
        var unclear = new List<Channel>();
        foreach (var turn in PlanAll(phase))
        {
            if (await TakeTurnAsync(turn, leads, unclear, progress, cancellation) is { } ended)
                return ended;
        }
        if (unclear.Count == 0)
            return null;
        progress.Report(new ExercisedAgain([.. unclear]));
        foreach (var turn in PlanSingly([.. board.Channels.Where(unclear.Contains)], phase))
        {
            if (await TakeTurnAsync(turn, leads, unclear, progress, cancellation) is { } ended)
                return ended;
        }
        return null;
    }

    /// <summary>Exercises and judges the channels of one turn. Null when the sweep can go on.</summary>
    /// <param name="unclear">Gets the channels that did not all work while others were exercised at the same time: nothing is said of them yet.</param>
    private async Task<SweepEnding?> TakeTurnAsync(
        Turn turn, ImmutableDictionary<string, LeadState> leads, List<Channel> unclear, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var exercises = turn.Exercises;
        var run = new TurnRun(board, adapter, _view, _options.Mode, turn, log);
        ImmutableArray<ChannelResult> results;
        try
        {
            await run.RunAsync(turn.Runs, progress, cancellation);
            results = [.. exercises.Select(exercise => run.Judge(exercise, leads))];
            if (_fineRepeats.Of(turn, results) is { IsEmpty: false } repeats)
            {
                await run.RunAsync(repeats, progress, cancellation);
                results = [.. exercises.Select(exercise => run.Judge(exercise, leads))];
            }
        }
        finally
        {
            _planned += run.Planned;
            _elapsed += run.Elapsed;
        }

        var motion = results.Select(result => QuietJudge.Motion(board, _options.Mode, result.Findings)).FirstOrDefault(finding => finding is not null);
        var unclearHere = exercises.Any(exercise => !exercise.Companions.IsEmpty) && results.Any(result => result.Condition != Condition.Working);
        var whyNotAlone = run.Stop is not null || motion is not null ? "the sweep was stopped"
            : run.Broken ? "an exercise was ended early"
            : run.Stranded ? "the way back was refused, and nothing moves the same way twice"
            : null;
        var again = unclearHere && whyNotAlone is null;
        if (again)
            unclear.AddRange(results.Select(result => result.Channel));
        else if (unclearHere)
            results = [.. exercises.Zip(results, (exercise, result) => OfGroup(exercise, result, results, whyNotAlone!))];
        foreach (var result in again ? [] : results)
        {
            _round[result.Channel] = result;
            if (!_repeats.TryGetValue(result.Channel, out var repeats))
                _repeats[result.Channel] = repeats = new(result.Channel, _options.Mode, adapter.Identity.Look);
            repeats.Add(result);
            log.Information("Channel {Channel}: {Condition}. {Summary}", result.Channel.Name, Words.Of(result.Condition), result.Summary);
            if (_options.Repeats == 1)
                progress.Report(new ChannelJudged(result));
        }
        if (motion is not null)
        {
            return new(SweepOutcome.StoppedForSafety,
                $"{motion.Words} In logic-only mode nothing may move: switch the motor supply off and lock it out, then sweep again.");
        }
        if (run.Stop is { } stop)
            return SweepEnding.StoppedBy(stop.StoppedBy);
        if (cancellation.IsCancellationRequested && run.Broken)
            throw new OperationCanceledException(cancellation);
        return null;
    }

    /// <summary>
    /// Together all of them work, or it is not known which does what: one may show just what it should though another's command made it so.
    /// </summary>
    private static ChannelResult OfGroup(Exercise exercise, ChannelResult result, ImmutableArray<ChannelResult> results, string whyNotAlone) =>
        exercise.Companions.IsEmpty
        || result.Condition == Condition.NotTested
        || results.All(other => other.Condition == Condition.Working || (other.Channel != result.Channel && !exercise.Companions.Contains(other.Channel)))
            ? result
            : ChannelResult.NotExercised(
                result.Channel,
                $"Exercised at the same time as {string.Join(", ", exercise.Companions.Select(companion => companion.Name))}, and not all of them did as they should. Which one is at fault shows only alone, and {whyNotAlone}: sweep again, without --fast.");

    private async Task<SweepEnding?> RunCheckAsync(
        Func<CancellationToken, Task<(CheckDone Check, SweepEnding? Ending)>> check, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var (done, ending) = await check(cancellation);
        Report(done, progress);
        return ending;
    }

    private void Report(CheckDone check, IProgress<SweepEvent> progress)
    {
        _checks.Add(check);
        log.Information("Check {Check}: {Good}, {Words}", check.Name, Words.Of(check), check.Words);
        progress.Report(check);
    }

    private static ChannelResult NotReached(Channel channel, SweepEnding ending) =>
        ChannelResult.NotExercised(channel, ending.Words.Length > 0 ? $"Not exercised: {ending.Words}" : "Not exercised.");
}
