using Microsoft.Extensions.Hosting;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Probing;
using TestRig.Bench.Serving;
using TestRig.Commands;
using TestRig.Core.Boards;

namespace TestRig.Service;

/// <summary>Works one bench: takes one job after the other from its queue, asks for what its schedule says, and drives nothing while nobody has armed it.</summary>
internal sealed class BenchWorker(LiveBench bench, ServiceSettings service, ServiceState state, ServiceStore store, PlotFont font, BenchMeter meter, TimeProvider time, ILogger log) : BackgroundService
{
    /// <summary>How soon a bench that was disarmed stands still: its job is stopped at the next look.</summary>
    private static readonly TimeSpan _tick = TimeSpan.FromSeconds(1);

    /// <summary>Until an adapter that is not there yet is looked for again.</summary>
    private static readonly TimeSpan _adapterPause = TimeSpan.FromSeconds(10);

    /// <summary>A service that was started again so soon after a time of its schedule makes up for it.</summary>
    private static readonly TimeSpan _grace = TimeSpan.FromMinutes(15);

    private readonly ArmingFile _arming = new(service.ArmingFolder, bench.Settings.Name);
    private readonly SemaphoreSlim _asked = new(0);
    private readonly Lock _lock = new();
    private readonly Dictionary<ScheduledSoak, DateTimeOffset> _next = [];
    private (long Job, JobStop Stop)? _running;
    private volatile RemoteOperator? _person;
    private long _lookedAfter = time.GetTimestamp();

    public LiveBench Bench => bench;

    /// <summary>The board of its profile as it was when the service started, for choices to offer; null where that had errors. A job reads the profile anew.</summary>
    public Board? Board { get; private set; }

    /// <summary>Whether it has looked after its bench in so long.</summary>
    public bool IsAlive(TimeSpan patience) => time.GetElapsedTime(Interlocked.Read(ref _lookedAfter)) < patience;

    /// <summary>Asks for a job.</summary>
    /// <param name="wish">By which it is known, should it be asked for again.</param>
    /// <returns>Or why it cannot be.</returns>
    public async Task<(JobAsked? Asked, string? Refusal)> AskAsync(string wish, JobRequest request, string by, CancellationToken cancellation)
    {
        var arming = Armed();
        // Whoever asks again for want of an answer is told what became of it, also when the bench was disarmed meanwhile.
        if (WhyNot(request, arming) is { } refusal)
            return await state.FindWishAsync(wish, bench.Settings.Name, request, cancellation) is { } before ? (before, null) : (null, refusal);
        var asked = await state.AskAsync(wish, bench.Settings.Name, request, by, time.GetLocalNow(), arming!.At, refusal: null, cancellation);
        if (asked.Outcome == AskOutcome.New)
        {
            log.Information("Bench {Bench}: job {Job} asked for by {By}: {Request}", bench.Settings.Name, asked.Job!.Id, by, JobWords.Of(request));
            await ShowQueueAsync(cancellation);
            _asked.Release();
        }
        return (asked, null);
    }

    /// <summary>Stops a job, whether it runs or waits.</summary>
    /// <param name="afterCycle">A soak finishes its cycle first.</param>
    /// <returns>False where it was over already.</returns>
    public async Task<bool> StopAsync(Job job, string by, bool afterCycle, CancellationToken cancellation)
    {
        var why = $"Stopped by {by}.";
        if (await state.WithdrawAsync(job.Id, JobState.Stopped, why, time.GetLocalNow(), cancellation))
        {
            await ShowQueueAsync(cancellation);
            return true;
        }
        lock (_lock)
        {
            if (_running is not { } running || running.Job != job.Id)
                return false;
            log.Information("Bench {Bench}: job {Job} is stopped by {By}", bench.Settings.Name, job.Id, by);
            if (afterCycle)
                running.Stop.AfterCycle(why);
            else
                running.Stop.AtOnce(why);
            return true;
        }
    }

    /// <summary>What the person with the roving lead did.</summary>
    /// <param name="question">The number of the question that it answers.</param>
    /// <returns>False where that question does not wait any more: it was answered already, or probing has ended.</returns>
    public bool Answer(int question, ProbeAnswer answer) => _person?.Answer(question, answer) ?? false;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        foreach (var soak in bench.Settings.Schedule)
            _next[soak] = soak.At.After(time.GetLocalNow() - _grace, time.LocalTimeZone);
        await LoadBoardAsync(stoppingToken);
        var isKnown = true;
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                if (!isKnown)
                {
                    await state.InterruptRunningAsync(bench.Settings.Name, stoppingToken);
                    bench.Update(now => now with { Problem = null });
                    isKnown = true;
                }
                await LookAsync(stoppingToken);
                if (await state.NextAsync(bench.Settings.Name, stoppingToken) is { } job)
                    await WorkAsync(job, stoppingToken);
                else
                    await _asked.WaitAsync(_tick, stoppingToken);
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (RunStorageException storage)
            {
                // Of the service's own memory: what a job came to may not be written there, so nothing is driven until it can be; then what was interrupted goes on.
                isKnown = false;
                log.Error(storage, "Bench {Bench}: nothing is driven", bench.Settings.Name);
                bench.Update(now => now with { Problem = storage.Message, Running = null, Soak = null, Sweep = null });
                await Task.Delay(_adapterPause, time, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
    }

    private async Task WorkAsync(Job job, CancellationToken stopping)
    {
        var resumed = job.State == JobState.Interrupted;
        var arming = Armed();
        if (arming is null || arming.At != job.ArmedAt)
        {
            var goOn = job.Run is null ? "" : $" Run {job.Run} can be gone on with.";
            await EndWaitingAsync(job, resumed ? JobState.Stopped : JobState.Refused, $"The bench was disarmed, or its arming ended, before this job had its turn.{goOn} Arm it and ask again.");
            return;
        }
        if (WhyNot(job.Request, arming) is { } refusal)
        {
            await EndWaitingAsync(job, JobState.Refused, refusal);
            return;
        }
        using var stop = new JobStop();
        lock (_lock)
            _running = (job.Id, stop);
        try
        {
            if (!await state.BeginAsync(job.Id, time.GetLocalNow(), stopping))
                return;
            meter.Begin(bench.Settings.Name);
            bench.Update(now => now with { Running = job with { State = JobState.Running, Begun = job.Begun ?? time.GetLocalNow() }, Soak = null, Sweep = null, Probe = null, Problem = null, Notice = null });
            await ShowQueueAsync(stopping);
            using var shutdown = stopping.Register(() => stop.AtOnce("The service ended.", interruption: true));
            using var over = new CancellationTokenSource();
            var guard = GuardAsync(job, stop, over.Token);
            var outcome = await OutcomeAsync(job, arming, resumed, stop);
            await over.CancelAsync();
            await guard;
            await state.EndAsync(job.Id, outcome.State, outcome.Words, time.GetLocalNow(), CancellationToken.None);
            log.Information("Bench {Bench}: job {Job} {State}: {Words}", bench.Settings.Name, job.Id, outcome.State, outcome.Words);
            bench.Update(now => now with { Running = null, Notice = null, Standing = bench.Settings.Simulated is null ? AdapterStanding.Unknown : AdapterStanding.Simulated });
            if (outcome.State == JobState.Interrupted && !stopping.IsCancellationRequested)
                await WaitForAdapterAsync(outcome.Words, stopping);
        }
        finally
        {
            lock (_lock)
                _running = null;
        }
    }

    private async Task<JobOutcome> OutcomeAsync(Job job, Arming arming, bool resumed, JobStop stop)
    {
        try
        {
            return await new JobRunner(bench, service, state, store, font, meter, time, log.ForContext(nameof(Bench), bench.Settings.Name), person => _person = person).RunAsync(job, arming, resumed, stop);
        }
        catch (OperationCanceledException)
        {
            return stop.Outcome("Nothing was driven yet.");
        }
        catch (AdapterException fault)
        {
            return new(resumed ? JobState.Interrupted : JobState.Failed, $"{fault.Message} Nothing was driven.");
        }
        catch (Exception fault) when (fault is not (OutOfMemoryException or StackOverflowException))
        {
            // Our own mistake. It must not end the other benches' jobs; and it is told, not swallowed.
            log.Error(fault, "Bench {Bench}: job {Job} failed for a mistake of the program", bench.Settings.Name, job.Id);
            return new(JobState.Failed, $"The program made a mistake ({fault.GetType().Name}: {fault.Message}). What was stored until then is whole. The service's log has the details.");
        }
    }

    /// <summary>While a job runs: stops it when the bench is armed no more, and asks for what the schedule says.</summary>
    private async Task GuardAsync(Job job, JobStop stop, CancellationToken over)
    {
        while (!over.IsCancellationRequested)
        {
            await Task.Delay(_tick, time, over).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            if (Armed() is not { } arming || arming.At != job.ArmedAt)
                stop.AtOnce("The bench was disarmed, or its arming ended.");
            try
            {
                await LookAsync(CancellationToken.None);
            }
            catch (RunStorageException storage)
            {
                log.Error(storage, "Bench {Bench}: its queue cannot be read", bench.Settings.Name);
            }
        }
    }

    private async Task WaitForAdapterAsync(string words, CancellationToken stopping)
    {
        bench.Update(now => now with { Standing = AdapterStanding.Gone, Problem = words });
        await Task.Delay(_adapterPause, time, stopping).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
    }

    /// <summary>What may have changed without anybody telling: arming, the adapter's port, the time of day.</summary>
    private async Task LookAsync(CancellationToken cancellation)
    {
        Interlocked.Exchange(ref _lookedAfter, time.GetTimestamp());
        var armed = _arming.Read(time.GetLocalNow(), out var problem);
        var standing = StandingOf();
        bench.Update(now => now with { Armed = armed, Problem = problem ?? now.Problem, Standing = now.Running is null && now.Problem is null ? standing : now.Standing });
        foreach (var soak in bench.Settings.Schedule)
        {
            if (_next[soak] is var due && due > time.GetLocalNow())
                continue;
            _next[soak] = soak.At.After(due, time.LocalTimeZone);
            var request = new JobRequest(JobKind.Soak, soak.For, soak.Cycles) { Motion = soak.Motion };
            // The instant is its key: however often the service starts within the grace, it is asked for once.
            var asked = await state.AskAsync(
                $"schedule {bench.Settings.Name} {due.UtcDateTime:O}", bench.Settings.Name, request, $"schedule {soak.At}", time.GetLocalNow(), armed?.At, WhyNot(request, armed), cancellation);
            if (asked is { Outcome: AskOutcome.New, Job: { } job })
            {
                log.Information("Bench {Bench}: job {Job} by schedule {At}: {State} {Words}", bench.Settings.Name, job.Id, soak.At, job.State, job.Words ?? "");
                await ShowQueueAsync(cancellation);
            }
            else if (asked.Outcome == AskOutcome.QueueFull)
            {
                log.Error("Bench {Bench}: the soak of schedule {At} is left out: {Most} jobs wait already", bench.Settings.Name, soak.At, ServiceState.MostWaiting);
            }
        }
    }

    /// <summary>Why a job may not be begun now; null where it may.</summary>
    private string? WhyNot(JobRequest request, Arming? arming) =>
        request.Problem
        ?? (request.Motion && !bench.Settings.Motion ? $"The machine of bench '{bench.Settings.Name}' may not be moved from afar: its 'motion' in the service's configuration is not true."
        : arming is null ? $"Bench '{bench.Settings.Name}' is not armed: nothing may be driven. Arm it at its computer, with 'testrig arm'."
        : request.Motion && !arming.AllowMotion ? $"Bench '{bench.Settings.Name}' is armed, but not for motion. Arm it at its computer, with 'testrig arm' and --allow-motion."
        : null);

    private Arming? Armed() => _arming.Read(time.GetLocalNow(), out _);

    private AdapterStanding StandingOf() =>
        bench.Settings.Simulated is not null ? AdapterStanding.Simulated
        : AdapterOption.PortOf(bench.Settings.Adapter!) is not { } port ? AdapterStanding.Unknown
        : File.Exists(port) || SerialAdapter.PortNames().Contains(port) ? AdapterStanding.Attached
        : AdapterStanding.Gone;

    private async Task LoadBoardAsync(CancellationToken stopping)
    {
        var loaded = await Task.Run(() => ProfileLoader.Load(bench.Settings.Profile, ProfileInput.PartLibrary), stopping);
        Board = loaded.Board;
        foreach (var error in loaded.Errors)
            log.Error("Bench {Bench}: {Error}", bench.Settings.Name, error.ToString());
        bench.Update(now => now with { Board = loaded.Board?.Name, Problem = loaded.Board is null ? $"The profile cannot be used. {loaded.Errors[0]}" : null });
        await ShowQueueAsync(stopping);
    }

    private async Task EndWaitingAsync(Job job, JobState end, string words)
    {
        if (await state.WithdrawAsync(job.Id, end, words, time.GetLocalNow(), CancellationToken.None))
            log.Warning("Bench {Bench}: job {Job} {State}: {Words}", bench.Settings.Name, job.Id, end, words);
        await ShowQueueAsync(CancellationToken.None);
    }

    private async Task ShowQueueAsync(CancellationToken cancellation)
    {
        var open = await state.OpenJobsAsync(bench.Settings.Name, cancellation);
        bench.Update(now => now with { Waiting = [.. open.Where(job => job.State != JobState.Running)] });
    }

    public override void Dispose()
    {
        _asked.Dispose();
        base.Dispose();
    }
}
