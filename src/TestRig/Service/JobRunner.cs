using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Probing;
using TestRig.Bench.Reporting;
using TestRig.Bench.Serving;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Commands;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Service;

/// <summary>Does one job of a bench: what the commands sweep, soak and probe do, with nobody in front of a screen.</summary>
/// <param name="probing">Told who is to be given a person's answers, and null when nobody waits for any more.</param>
internal sealed class JobRunner(
    LiveBench bench, ServiceSettings service, ServiceState state, ServiceStore runs, PlotFont font, BenchMeter meter, TimeProvider time, ILogger log, Action<RemoteOperator?> probing)
{
    /// <summary>More often than that nobody looks.</summary>
    private static readonly TimeSpan _betweenLooks = TimeSpan.FromMilliseconds(400);

    private readonly IRunStore _store = runs.Runs;
    private long _looked;

    /// <param name="arming">Under which it begins.</param>
    /// <param name="resumed">The service ended in the middle of it before.</param>
    /// <exception cref="AdapterException">The adapter is not there, and nothing was begun.</exception>
    public async Task<JobOutcome> RunAsync(Job job, Arming arming, bool resumed, JobStop stop)
    {
        var loaded = ProfileLoader.Load(bench.Settings.Profile, ProfileInput.PartLibrary);
        if (loaded is not { Board: { } board, Source: { } source })
            return new(JobState.Failed, $"The profile has {Words.Count(loaded.Errors.Length, "error")}; nothing was driven. {loaded.Errors[0]}");
        bench.Update(now => now with { Board = board.Name });
        try
        {
            return (job.Request.Kind, resumed) switch
            {
                (JobKind.Soak, _) => await SoakAsync(job, arming, board, source, stop),
                (_, true) => new(JobState.Failed, "The service ended in the middle of it, and only soaks are gone on with: ask for it again."),
                (JobKind.Probe, _) => await ProbeAsync(job, arming, board, stop),
                _ => await SweepAsync(job, arming, board, source, stop),
            };
        }
        catch (ProfileMismatchException mismatch)
        {
            return new(JobState.Failed, $"{mismatch.Message} Nothing was driven.");
        }
        catch (BadUsageException wrong)
        {
            return new(JobState.Failed, wrong.Message);
        }
        catch (RunStorageException storage)
        {
            return new(JobState.Failed, storage.Message);
        }
    }

    private async Task<JobOutcome> SoakAsync(Job job, Arming arming, Board board, ProfileSource source, JobStop stop)
    {
        var wanted = job.Run ?? job.Request.Resume;
        // It was done, and the service ended before it could write so.
        if (job.Run is not null && await _store.FindAsync(job.Run, stop.Now) is { Verdict: { } done })
            return new(JobState.Done, done);
        // What was named and never begun is begun now.
        var known = wanted is not null && (job.Request.Resume is not null || await _store.FindAsync(wanted, stop.Now) is not null)
            ? await ResumedSoak.ReadAsync(_store, wanted, bench.Settings.Profile, source, bench.Settings.Simulated is not null, arming.MotorIsOff, arming.NoStopInput, stop.Now)
            : default((StoredRun Run, SoakOptions Options)?);
        if (known is { Options: var before } && before.Sweep.On(board).Mode == ExerciseMode.Motion && !(bench.Settings.Motion && arming.AllowMotion))
            return new(JobState.Refused, $"Run {wanted} moves the machine, and bench '{bench.Settings.Name}' is not armed for motion. Nothing was driven.");
        var options = known?.Options ?? new SoakOptions(SweepOptionsOf(job, arming), job.Request.For, job.Request.Cycles, job.Request.StopAfterFailures)
        {
            WatchIdle = job.Request.WatchIdle,
            DiskBudget = bench.Settings.DiskBudget,
        };
        var mode = options.Sweep.On(board).Mode;
        var adapters = new WatchedAdapters(AdaptersOf(board, mode), bench);
        // Before anything is written: no run begins without an adapter, and a computer that starts again may find its ports only after the service.
        await (await adapters.OpenAsync(stop.Now)).DisposeAsync();
        var run = known?.Run.Heading;
        if (run is null)
        {
            run = NewRun.Heading(wanted ?? await NameAsync(stop.Now), RunKind.Soak, board, source, mode, time.GetLocalNow(), bench.Settings.Simulated is not null, job.Request.Serial);
            run = run with { Options = SoakOptionsJson.Write(options) };
        }
        await state.NameRunAsync(job.Id, run.Id, CancellationToken.None);
        bench.Update(now => now with { Running = now.Running! with { Run = run.Id } });
        if (known is null)
            await _store.BeginAsync(run, stop.Now);
        var folder = RunFolder.Create(service.Records, run.Id, exact: null);
        await using var runLog = RunLog.Create(folder, log);
        runLog.Information("Job {Job} of {By}: soak, {Mode}: {Board} ({Profile}), run {Id} in {Store}", job.Id, job.By, Words.Of(run.Mode), board.Name, bench.Settings.Profile, run.Id, _store.Place);
        var soak = new Soak(board, adapters, options, _store, time, Random.Shared.NextDouble, BoardDiagnosis.Of, runLog);
        var result = await soak.RunAsync(run, new ToldAtOnce<SoakEvent>(step => See(step, options)), stop.LastCycle, stop.Now);
        var keeping = new RecordKeeping();
        await SoakRecord.KeepAsync(result, _store, time, folder, font, keeping);
        keeping.Close();
        var verdict = SoakWords.Verdict(result);
        runLog.Information("Verdict: {Verdict}", verdict);
        return result.Ending.Outcome switch
        {
            SoakOutcome.Complete or SoakOutcome.EnoughFailures or SoakOutcome.DiskBudgetUsed => new(JobState.Done, $"{verdict} {result.Ending.Words}".TrimEnd()),
            SoakOutcome.Cancelled => stop.Outcome(verdict),
            _ => new(JobState.Failed, $"{result.Ending.Words} {verdict}"),
        };
    }

    private async Task<JobOutcome> SweepAsync(Job job, Arming arming, Board board, ProfileSource source, JobStop stop)
    {
        var options = SweepOptionsOf(job, arming);
        await using var adapter = await new WatchedAdapters(AdaptersOf(board, options.On(board).Mode), bench).OpenAsync(stop.Now);
        var run = await NameAsync(stop.Now);
        var folder = RunFolder.Create(service.Records, run, exact: null);
        await state.NameRunAsync(job.Id, run, CancellationToken.None);
        await using var runLog = RunLog.Create(folder, log);
        runLog.Information("Job {Job} of {By}: sweep, {Mode}: {Board} ({Profile}), run {Id} in {Store}", job.Id, job.By, Words.Of(options.On(board).Mode), board.Name, bench.Settings.Profile, run, _store.Place);
        bench.Update(now => now with { Running = now.Running! with { Run = run }, Sweep = new(board.Channels.Length, [], []) });
        var result = await new Sweep(board, adapter, options, time, runLog).RunAsync(new ToldAtOnce<SweepEvent>(See), stop.Now);
        var ended = time.GetLocalNow();
        meter.Count(bench.Settings.Name, result);
        var keeping = new RecordKeeping();
        var inject = result.Diagnosis.InjectAt is { } net ? InjectCommand.LineOf(bench.Settings.Profile, net, bench.Settings.Adapter, SimulatedBenchOf(), options) : null;
        var record = new RecordFolder(folder, font, keeping, new(job.Request.Serial, [])).Write(result, bench.Settings.Profile, inject);
        await keeping.KeepAsync(() => NewRun.KeepAsAsync(_store, run, source, result, adapter.Pins, ended, record, job.Request.Serial));
        keeping.Close();
        var verdict = Words.Verdict(result);
        runLog.Information("Ended: {Outcome}. {Verdict}", Words.Of(result.Ending.Outcome), verdict);
        return result.Ending.Outcome switch
        {
            SweepOutcome.Complete => new(JobState.Done, verdict),
            // What it judged until then is kept; the rest was not tested.
            SweepOutcome.Cancelled => new(JobState.Stopped, $"{stop.Why} {verdict}"),
            _ => new(JobState.Failed, $"{result.Ending.Words} {verdict}"),
        };
    }

    private async Task<JobOutcome> ProbeAsync(Job job, Arming arming, Board board, JobStop stop)
    {
        if (board.Channels.FirstOrDefault(known => known.Name == job.Request.Channel) is not { } channel)
            return new(JobState.Refused, $"Board '{board.Name}' has no channel '{job.Request.Channel}'. It has {string.Join(", ", board.Channels.Select(known => known.Name))}.");
        var options = SweepOptionsOf(job, arming);
        var mode = options.On(board).Mode;
        var lead = new ProbeLead(Pin: null, Divider: null);
        await using var attached = bench.Settings.Simulated is null ? await new WatchedAdapters(new AttachedAdapter(bench.Settings.Adapter, board), bench).OpenAsync(stop.Now) : null;
        var session = new ProbeSession(board, channel, lead, leads => attached ?? Paced(SimulatedBenchOf()!.Build(leads, mode)), options, time);
        using var person = new RemoteOperator(bench, channel, time);
        probing(person);
        try
        {
            var result = await session.RunAsync(person, stop.Now);
            var verdict = string.Join(' ', result.Faults.Select(fault => $"{string.Join("; or ", fault.Suspects.Select(Words.Of))}. {fault.Advice}").Prepend(ProbeWords.Verdict(result)));
            return result.Ending.Outcome switch
            {
                SweepOutcome.Complete => new(JobState.Done, verdict),
                SweepOutcome.Cancelled => new(JobState.Stopped, $"{stop.Why ?? person.WhyEnded} {verdict}"),
                _ => new(JobState.Failed, $"{result.Ending.Words} {verdict}"),
            };
        }
        finally
        {
            probing(null);
            bench.Update(now => now with { Probe = null });
        }
    }

    private PacedAdapter Paced(SimulatedAdapter adapter) => new(adapter, bench.Settings.Simulated!.Speed, time);

    private Task<string> NameAsync(CancellationToken cancellation) => runs.FreeNameAsync(RunFolder.NameOf(bench.Settings.Name, time.GetLocalNow()), cancellation);

    private static SweepOptions SweepOptionsOf(Job job, Arming arming) =>
        new(job.Request.Motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly, arming.MotorIsOff, arming.NoStopInput) { Together = job.Request.Fast, Repeats = job.Request.Repeats };

    private IAdapterSource AdaptersOf(Board board, ExerciseMode mode) => SimulatedBenchOf() is { } simulated
        ? new Simulated(Paced(simulated.Build(board, mode)))
        : new AttachedAdapter(bench.Settings.Adapter, board);

    private SimulatedBench? SimulatedBenchOf() => bench.Settings.Simulated is { } simulated ? new(simulated.Faults, simulated.Seed) : null;

    private void See(SoakEvent step, SoakOptions options)
    {
        switch (step)
        {
            case CycleDone done:
                meter.Count(bench.Settings.Name, done);
                // The last cycle is told with the end.
                if (bench.Now.Soak is null || time.GetElapsedTime(_looked) >= _betweenLooks)
                {
                    _looked = time.GetTimestamp();
                    var soak = LiveSoak.Of(done, options);
                    bench.Update(now => now with { Soak = soak, Notice = null });
                }
                break;
            case AdapterGone gone:
                bench.Update(now => now with { Standing = AdapterStanding.Gone, Notice = $"The adapter is gone: {gone.Words}" });
                break;
            case AdapterAwaited awaited:
                bench.Update(now => now with { Notice = $"Looking for the adapter, {awaited.Attempt} {(awaited.Attempt == 1 ? "time" : "times")} so far. {awaited.Words}" });
                break;
            case PausedFor paused:
                bench.Update(now => now with { Notice = $"Nothing is driven: {paused.Words}" });
                break;
            default:
                break;
        }
    }

    private void See(SweepEvent step)
    {
        switch (step)
        {
            case ChannelJudged judged:
                var one = new JudgedChannel(judged.Result.Channel.Name, judged.Result.Condition, judged.Result.Summary);
                bench.Update(now => now with { Sweep = now.Sweep! with { Judged = now.Sweep.Judged.Add(one) } });
                break;
            case CheckDone { Good: false } check:
                bench.Update(now => now with { Sweep = now.Sweep! with { NotGood = now.Sweep.NotGood.Add($"{check.Name}: {check.Words}") } });
                break;
            default:
                break;
        }
    }

    private sealed class Simulated(PacedAdapter adapter) : IAdapterSource
    {
        public Task<IAdapter> OpenAsync(CancellationToken cancellation) => Task.FromResult<IAdapter>(adapter);
    }

    /// <summary>Shows on the page whether the adapter is there.</summary>
    private sealed class WatchedAdapters(IAdapterSource source, LiveBench bench) : IAdapterSource
    {
        public async Task<IAdapter> OpenAsync(CancellationToken cancellation)
        {
            try
            {
                var adapter = await source.OpenAsync(cancellation);
                bench.Update(now => now with { Standing = adapter.Identity.IsSimulated ? AdapterStanding.Simulated : AdapterStanding.InUse, Adapter = Words.Adapter(adapter.Identity), Notice = null });
                return adapter;
            }
            catch (AdapterException)
            {
                bench.Update(now => now with { Standing = AdapterStanding.Gone });
                throw;
            }
        }
    }
}
