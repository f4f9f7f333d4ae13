using System.Collections.Immutable;
using Polly;
using Polly.Retry;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Soaking;

/// <summary>
/// Sweeps one after the other, for hours. What a cycle found is durable before the next one begins; an adapter that goes away is waited for; a cycle that was cut short is not counted, and nothing of it is
/// done again but as a whole new cycle. On every way out lines are idle.
/// </summary>
/// <param name="jitter">Between 0 and 1, for each wait for an adapter.</param>
/// <param name="diagnose">Explains a failing cycle that was seen on an adapter with these pins: <see cref="BoardDiagnosis.Of"/>, which takes seconds and every core.</param>
public sealed class Soak(
    Board board, IAdapterSource source, SoakOptions options, IRunStore store, TimeProvider time, Func<double> jitter, Func<SweepResult, ImmutableArray<AdapterPin>, Diagnosis> diagnose, ILogger log)
{
    /// <summary>While nothing may be driven, so long until it is looked at again.</summary>
    private static readonly TimeSpan _pause = TimeSpan.FromSeconds(10);

    private static readonly TimeSpan _firstWait = TimeSpan.FromSeconds(1), _longestWait = TimeSpan.FromMinutes(1);

    private readonly List<(long Number, SweepResult Result)> _before = [];

    /// <summary>What goes well in a cycle is in its summary; a log of it would fill the disk in a week.</summary>
    private readonly ILogger _cycleLog = new LoggerConfiguration().MinimumLevel.Warning().WriteTo.Logger(log).CreateLogger();

    /// <summary>The run so far. Read from the store before anything else is done.</summary>
    private StoredSoak _stored = null!;

    /// <param name="run">Begun in the store; its cycles, if it has any, are counted and not done again.</param>
    /// <param name="lastCycle">Ends it with the cycle that is going on.</param>
    /// <param name="now">Ends it at once; the cycle that is going on is not counted.</param>
    /// <exception cref="AdapterException">The adapter is not there at the beginning.</exception>
    /// <exception cref="ProfileMismatchException">Profile and adapter do not fit; nothing was driven.</exception>
    /// <exception cref="RunStorageException">The store could not be read, or took nothing from the beginning; nothing was driven.</exception>
    public async Task<SoakResult> RunAsync(RunHeading run, IProgress<SoakEvent> progress, CancellationToken lastCycle, CancellationToken now)
    {
        var known = await store.FindAsync(run.Id, now) ?? throw new RunStorageException($"The run store {store.Place} has no run '{run.Id}'. Begin it anew.");
        _stored = new(known, board, options.WatchIdle, diagnose);
        await _stored.ReadAsync(store, now);
        var adapter = await source.OpenAsync(now);
        try
        {
            AdapterFit.Check(board, adapter);
            progress.Report(new AdapterFound(adapter.Identity));
            var session = await OpenSessionAsync(run, adapter);
            var identity = adapter.Identity;
            try
            {
                var began = time.GetTimestamp();
                while (true)
                {
                    var (ending, lost) = await GoOnAsync(session, adapter, began, progress, lastCycle, now);
                    if (lost is null)
                        return await EndAsync(session, identity, ending!);

                    progress.Report(new AdapterGone(lost));
                    log.Warning("The adapter is gone: {Words}", lost);
                    await store.EndSessionAsync(session, time.GetLocalNow(), lost, CancellationToken.None);
                    await adapter.DisposeAsync();
                    if (WhyNotAgain() is { } why)
                        return Result(session, identity, new(SoakOutcome.AdapterFailed, $"{lost} {why}"));
                    try
                    {
                        adapter = await FindAgainAsync(progress, lastCycle, now);
                    }
                    catch (OperationCanceledException)
                    {
                        return Result(session, identity, new(SoakOutcome.Cancelled, "Cancelled while the adapter was gone. Every cycle up to then is stored."));
                    }
                    if (IsAnother(identity, adapter.Identity) is { } another)
                        return Result(session, identity, new(SoakOutcome.AdapterFailed, another));
                    progress.Report(new AdapterFound(adapter.Identity));
                    session = await OpenSessionAsync(run, adapter);
                }
            }
            catch (RunStorageException cause)
            {
                // What the night found until then is told all the same.
                log.Error(cause, "The store failed");
                return Result(session, identity, new(SoakOutcome.StoreFailed, $"{cause.Message} {SoakWords.Cycles(_stored.Tally.Cycles)} are stored for certain; of what came then, nothing is counted here."));
            }
        }
        finally
        {
            await adapter.DisposeAsync();
        }
    }

    private async Task<RunSession> OpenSessionAsync(RunHeading run, IAdapter adapter)
    {
        var session = await store.OpenSessionAsync(
            run.Id, new(time.GetLocalNow(), AdapterJson.Write(adapter), Environment.MachineName, Environment.ProcessId), CancellationToken.None);
        return session.Cycles == _stored.Tally.Cycles
            ? session
            : throw new RunStorageException($"Another process has gone on with run {run.Id} meanwhile: it has {session.Cycles} cycles, and this one knows of {_stored.Tally.Cycles}. Nothing was driven since. Resume it once more when the other has ended.");
    }

    /// <summary>Cycles until something ends them: the soak, or the adapter that is gone.</summary>
    private async Task<(SoakEnding? Ending, string? Lost)> GoOnAsync(
        RunSession session, IAdapter adapter, long began, IProgress<SoakEvent> progress, CancellationToken lastCycle, CancellationToken now)
    {
        while (true)
        {
            if (IsOver(began) is { } over)
                return (over, null);
            if (lastCycle.IsCancellationRequested || now.IsCancellationRequested)
                return (Cancelled, null);
            var (started, stamp) = (time.GetLocalNow(), time.GetTimestamp());
            var result = await CycleAsync(adapter, now);
            if (result.Ending.Outcome == SweepOutcome.Cancelled)
                return (new(SoakOutcome.Cancelled, $"Cancelled. Cycle {_stored.Tally.Cycles + 1} was cut short and is not counted; every one before it is stored."), null);
            if (result.Ending.Outcome == SweepOutcome.AdapterFailed)
                return (null, result.Ending.Words);

            var cycle = CycleRecords.Of(_stored.Tally.Cycles + 1, result, started, time.GetElapsedTime(stamp));
            await StoreAsync(session, cycle, result, adapter.Pins);
            progress.Report(new CycleDone(cycle, _stored.Tally, DiskBytes) { Link = result.Link });
            if (result.Ending.Outcome == SweepOutcome.StoppedForSafety)
                return (new(SoakOutcome.StoppedForSafety, result.Ending.Words), null);
            if (result.Ending.Outcome == SweepOutcome.NotReady)
            {
                progress.Report(new PausedFor(result.Ending.Words, _pause));
                await DelayAsync(_pause, lastCycle, now);
            }
        }
    }

    private static SoakEnding Cancelled { get; } = new(SoakOutcome.Cancelled, "Cancelled by the operator. Every cycle is stored.");

    private CaptureKeeping Keeping => _stored.Keeping;

    private long DiskBytes => _stored.SummaryBytes + Keeping.Bytes;

    private SoakEnding? IsOver(long began) =>
        options.Cycles is { } cycles && _stored.Tally.Cycles >= cycles ? new(SoakOutcome.Complete, "")
        : options.For is { } wanted && _stored.Soaked + time.GetElapsedTime(began) >= wanted ? new(SoakOutcome.Complete, "")
        : options.StopAfterFailures is { } most && _stored.Tally.FailingCycles >= most ? new(SoakOutcome.EnoughFailures, most == 1 ? "Stopped at the first failure." : $"Stopped after {most} failing cycles.")
        : DiskBytes > options.DiskBudget ? new(SoakOutcome.DiskBudgetUsed, $"The run has used up its {options.DiskBudget / 1_000_000} MB of disk (--disk). What was found is stored.")
        : null;

    private Task<SweepResult> CycleAsync(IAdapter adapter, CancellationToken now) => options.WatchIdle
        ? new IdleWatch(board, adapter, options.Sweep, time, _cycleLog).MeasureAsync(now)
        : new Sweep(board, adapter, options.Sweep, time, _cycleLog).MeasureAsync(Unwatched.Sweep, now);

    private async Task StoreAsync(RunSession session, CycleRecord cycle, SweepResult result, ImmutableArray<AdapterPin> pins)
    {
        var failing = cycle.Failed;
        var kept = new Dictionary<long, KeptCycle>();
        Keeping.Budget = options.DiskBudget - _stored.SummaryBytes;
        if (Keeping.ReasonFor(cycle.Number, failing) is { } reason)
        {
            kept[cycle.Number] = CycleRecords.Kept(reason, result);
            var before = failing ? _before.FindAll(entry => !Keeping.Stays(entry.Number)) : [];
            // Beside the failing one itself. What is nearest to it tells most.
            foreach (var (number, earlier) in before.TakeLast(Keeping.RoomFor(before.Count + 1) - 1))
                kept[number] = CycleRecords.Kept(KeepReason.BeforeFailure, earlier);
        }
        // Not to be cancelled: what was driven is counted.
        foreach (var (number, bytes) in await store.AppendAsync(session, cycle, kept, CancellationToken.None))
            Keeping.Add(number, kept[number].Reason, bytes);
        _stored.Count(cycle);
        if (Keeping.Forget() is { Count: > 0 } forgotten)
            await store.ForgetCapturesAsync(session.Run, forgotten, CancellationToken.None);
        if (failing)
        {
            log.Warning("Cycle {Cycle} fails: {Channels}", cycle.Number, string.Join(", ", cycle.Channels.Where(channel => channel.Failed).Select(channel => $"{channel.Channel} {Words.Of(channel.Condition)}").Concat(cycle.Checks)));
            if (_stored.Patterns.Count(cycle))
                _stored.Patterns.Explain(cycle, result, diagnose(result, pins));
        }
        _before.Add((cycle.Number, result));
        if (_before.Count > Math.Max(1, options.Before))
            _before.RemoveAt(0);
    }

    private async Task<SoakResult> EndAsync(RunSession session, AdapterIdentity adapter, SoakEnding ending)
    {
        // The last cycle as it was, to compare with the first.
        if (_before is [.., var (number, last)] && !Keeping.Stays(number) && Keeping.RoomFor(1) > 0)
        {
            foreach (var (cycle, bytes) in await store.KeepAsync(session, new Dictionary<long, KeptCycle> { [number] = CycleRecords.Kept(KeepReason.Last, last) }, CancellationToken.None))
                Keeping.Add(cycle, KeepReason.Last, bytes);
        }
        var result = Result(session, adapter, ending);
        await store.EndSessionAsync(session, time.GetLocalNow(), ending.Words, CancellationToken.None);
        log.Information("Ended: {Outcome}. {Words}", ending.Outcome, ending.Words);
        return result;
    }

    private SoakResult Result(RunSession session, AdapterIdentity adapter, SoakEnding ending) => new(_stored.Findings(adapter), session, ending);

    /// <summary>Backs off from a second to a minute, never in step with others; it waits as long as it takes.</summary>
    private async Task<IAdapter> FindAgainAsync(IProgress<SoakEvent> progress, CancellationToken lastCycle, CancellationToken now)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(lastCycle, now);
        var patience = new ResiliencePipelineBuilder { TimeProvider = time }.AddRetry(new RetryStrategyOptions
        {
            ShouldHandle = new PredicateBuilder().Handle<AdapterException>(),
            MaxRetryAttempts = int.MaxValue,
            BackoffType = DelayBackoffType.Exponential,
            Delay = _firstWait,
            MaxDelay = _longestWait,
            UseJitter = true,
            Randomizer = jitter,
            OnRetry = attempt =>
            {
                progress.Report(new AdapterAwaited(attempt.AttemptNumber + 1, attempt.RetryDelay, attempt.Outcome.Exception!.Message));
                return ValueTask.CompletedTask;
            },
        }).Build();
        var context = ResilienceContextPool.Shared.Get(continueOnCapturedContext: true, either.Token);
        try
        {
            return await patience.ExecuteAsync(async attempt => await source.OpenAsync(attempt.CancellationToken), context);
        }
        finally
        {
            ResilienceContextPool.Shared.Return(context);
        }
    }

    /// <summary>Where a motion was cut short, an axis may stand anywhere; only limit switches keep the next cycle from driving it farther.</summary>
    private string? WhyNotAgain() =>
        options.Sweep.On(board).Mode == ExerciseMode.Motion && board.Lines.FirstOrDefault(line => line.Motion && !board.Stops.Any(stop => stop.IsLimit && stop.Lines.Contains(line))) is { } open
            ? $"It is not known where the axes stand, and line '{open.Name}' has no limit switch that would stop it: look at the machine, move it to where it started, then go on with --resume."
            : null;

    private static string? IsAnother(AdapterIdentity before, AdapterIdentity now) =>
        (before.Kind, before.Board, before.Firmware, before.Resolution) == (now.Kind, now.Board, now.Firmware, now.Resolution)
            ? null
            : $"Another adapter came back ({Words.Adapter(now)}) than was gone ({Words.Adapter(before)}): nothing is driven with it. Attach the first one again, or begin a new run.";

    private async Task DelayAsync(TimeSpan pause, CancellationToken lastCycle, CancellationToken now)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(lastCycle, now);
        try
        {
            await Task.Delay(pause, time, either.Token);
        }
        catch (OperationCanceledException)
        {
            // The loop sees it by itself.
        }
    }
}
