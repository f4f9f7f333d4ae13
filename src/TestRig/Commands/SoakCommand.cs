using System.CommandLine;
using System.Globalization;
using System.Runtime.InteropServices;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Simulation;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig soak PROFILE: sweeps one after the other, for hours.</summary>
internal static class SoakCommand
{
    public const string Name = "soak";

    private const string FirstFailure = "first-failure", Safety = "safety";

    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var adapter = AdapterOption.Create();
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var length = QuantityOption.Create<TimeSpan?>("--for", "So long, for example 8h.", "TIME", QuantityText.Span);
        var cycles = NumberOption.Create("--cycles", "So many cycles, each a sweep of all channels.", least: 1);
        var watch = new Option<bool>("--watch-idle") { Description = "Lines stay idle: watch for what changes though nobody commands it." };
        var stopOn = StopOnOption();
        var before = NumberOption.Create("--before", "Cycles before each failing one whose captures are kept with it (default 3).", least: 0);
        var disk = QuantityOption.Create<long?>("--disk", "What the run may take in the store (default 200MB).", "SIZE", QuantityText.Bytes);
        var resume = new Option<string?>("--resume") { Description = "Go on with this run, by its name: what it has is counted, and not done again.", HelpName = "RUN" };
        var fast = new Option<bool>("--fast") { Description = "Channels that share nothing together, as many as the profile's lines-on-together." };
        var folder = new Option<string?>("--out") { Description = "The folder of log, record and pictures; by default a new one in 'runs'.", HelpName = "FOLDER" };
        var serial = SerialOption.Create("The board's serial number, for the record.");
        var store = StoreOption.Create();
        var json = JsonOption.Create("what was found");
        var command = new Command(Name, "Sweep the board over and over, for hours: what fails now and then, what drifts, and how sure it is that the rest is good.")
        {
            profile, length, cycles, watch, stopOn, adapter, motion, motorOff, noStop, fast, resume, before, disk, serial, store, folder, json,
        };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.Validators.Add(result =>
        {
            var (timed, counted, resumed) = (result.GetResult(length) is not null, result.GetResult(cycles) is not null, result.GetResult(resume) is not null);
            if (timed && counted)
                result.AddError("--for and --cycles exclude each other: write how long, or how many cycles.");
            else if (!timed && !counted && !resumed)
                result.AddError("Say how long: --for 8h, or --cycles 1000.");
            if (resumed && new Option[] { length, cycles, watch, stopOn, before, disk, fast, motion, serial }.FirstOrDefault(option => result.GetResult(option) is { Implicit: false }) is { } fixedBefore)
                result.AddError($"A resumed run goes on as it was begun: leave {fixedBefore.Name} out, or begin a new run.");
        });
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(adapter), simulated.Read(parsed),
                new(
                    new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop)) { Together = parsed.GetValue(fast) },
                    parsed.GetValue(length), parsed.GetValue(cycles), parsed.GetValue(stopOn))
                {
                    WatchIdle = parsed.GetValue(watch),
                    Before = parsed.GetValue(before) ?? 3,
                    DiskBudget = parsed.GetValue(disk) ?? SoakOptions.DefaultDiskBudget,
                },
                parsed.GetValue(resume), SerialOption.Read(parsed, serial), parsed.GetValue(store), parsed.GetValue(folder), parsed.GetValue(json)),
            cancellation));
        return command;
    }

    /// <summary>Failing cycles that end it; null for none.</summary>
    private static Option<long?> StopOnOption() => new("--stop-on")
    {
        Description = "What ends it early: first-failure, so many failing cycles, or safety alone (the default). A stop input ends it always.",
        HelpName = "first-failure|safety|N",
        CustomParser = result =>
        {
            if (result.Tokens is not [var written])
                return null;
            if (written.Value is FirstFailure)
                return 1;
            if (written.Value is not Safety && !(long.TryParse(written.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number > 0))
                result.AddError($"--stop-on '{written.Value}' is not understood; write {FirstFailure}, {Safety}, or a number of failing cycles.");
            return long.TryParse(written.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var failures) ? failures : null;
        },
    };

    private sealed record Request(
        FileInfo Profile, string? Adapter, SimulatedBench? Simulated, SoakOptions Options, string? Resume, string? Serial, string? Store, string? Folder, string? Json)
    {
        /// <summary>What has to be said again when the run is gone on with.</summary>
        public string Again(IRunStore store) => (Adapter is null ? "" : $" --adapter {Adapter}") + StoreOption.Again(Store, store);
    }

    private static async Task<int> RunAsync(Request request, CancellationToken lastCycle)
    {
        if (ProfileInput.LoadWithSource(request.Profile) is not var (board, source))
            return ExitCode.BadUsage;
        var font = PlotFont.Find();
        await using var store = await RunStores.OpenAsync(request.Store, lastCycle);
        var (known, options) = request.Resume is { } name
            ? await ResumedSoak.ReadAsync(
                store, name, request.Profile.ToString(), source, request.Simulated is not null, request.Options.Sweep.MotorOffConfirmed, request.Options.Sweep.NoStopInputAcknowledged, lastCycle)
            : (null, request.Options);
        var bench = request.Simulated?.Build(board, options.Sweep.Mode);

        var screen = JsonOption.Screen(request.Json);
        var sweeps = new SweepView(screen);
        sweeps.Cautions(board, options.Sweep.Mode);
        TimeProvider time = bench is null ? TimeProvider.System : new SimulatedTime(bench, known?.Sessions.LastOrDefault()?.Last ?? TimeProvider.System.GetLocalNow());
        var folder = RunFolder.Create("runs", RunFolder.NameOf(known?.Heading.Id ?? Path.GetFileNameWithoutExtension(request.Profile.Name), time.GetLocalNow()), request.Folder);
        var run = known?.Heading
            ?? await NewRun.HeadingAsync(store, folder.Run, RunKind.Soak, board, source, options.Sweep.On(board).Mode, time.GetLocalNow(), bench is not null, request.Serial, lastCycle) with { Options = SoakOptionsJson.Write(options) };
        var log = RunLog.Create(folder);
        try
        {
            log.Information("testrig {Version}, soak, {Mode}: {Board} ({Profile}), run {Id} in {Store}", ProgramVersion.Text, Words.Of(run.Mode), board.Name, request.Profile.FullName, run.Id, store.Place);
            if (known is null)
                await store.BeginAsync(run, lastCycle);
            var view = new SoakView(screen, sweeps, options);
            view.Begin(board, run, store, known?.Cycles ?? 0);
            IAdapterSource adapters = bench is null ? new AttachedAdapter(request.Adapter, board) : new Simulated(bench);
            // Only for the time between two looks for an adapter: two benches that lost theirs together are not to come back together.
            var soak = new Soak(board, adapters, options, store, time, Random.Shared.NextDouble, BoardDiagnosis.Of, log);
            using var signals = new SecondSignal();
            var result = await view.FollowAsync(progress => soak.RunAsync(run, progress, lastCycle, signals.Token));
            view.Found(result);
            await KeepAsync(result, request, store, time, folder, font, view);
            return ExitCodeOf(result);
        }
        catch (Exception cause) when (cause is ProfileMismatchException or RunStorageException or AdapterException)
        {
            log.Error("Ended: {Words}", cause.Message);
            throw;
        }
        finally
        {
            await log.DisposeAsync();
        }
    }

    /// <exception cref="RunStorageException">Something could not be kept, after all else was.</exception>
    private static async Task KeepAsync(SoakResult result, Request request, IRunStore store, TimeProvider time, RunFolder folder, PlotFont font, SoakView view)
    {
        var keeping = new RecordKeeping();
        var record = await SoakRecord.KeepAsync(result, store, time, folder, font, keeping);
        view.Kept(result, keeping.AllKept ? folder : null, request.Again(store));
        await keeping.KeepAsync(() => JsonOption.WriteAsync(request.Json, record));
        keeping.Close();
    }

    private static int ExitCodeOf(SoakResult result) => result.Ending.Outcome switch
    {
        SoakOutcome.StoreFailed => ExitCode.Storage,
        SoakOutcome.AdapterFailed => ExitCode.Adapter,
        SoakOutcome.StoppedForSafety => ExitCode.Safety,
        _ when result.AnyFailing => ExitCode.FaultsFound,
        SoakOutcome.DiskBudgetUsed => ExitCode.Storage,
        SoakOutcome.Cancelled => ExitCode.Incomplete,
        _ => result.Incomplete ? ExitCode.Incomplete : ExitCode.AllWorking,
    };

    private sealed class Simulated(SimulatedAdapter bench) : IAdapterSource
    {
        public Task<IAdapter> OpenAsync(CancellationToken cancellation) => Task.FromResult<IAdapter>(bench);
    }

    /// <summary>The first Ctrl-C ends the soak with its cycle, as every command is cancelled; the second one, or the system's word to end, at once.</summary>
    private sealed class SecondSignal : IDisposable
    {
        private readonly CancellationTokenSource _now = new();
        private readonly PosixSignalRegistration _interrupt, _terminate;
        private int _times;

        public SecondSignal()
        {
            _interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, _ =>
            {
                if (Interlocked.Increment(ref _times) > 1)
                    _now.Cancel();
            });
            _terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, _ => _now.Cancel());
        }

        public CancellationToken Token => _now.Token;

        public void Dispose()
        {
            _interrupt.Dispose();
            _terminate.Dispose();
            _now.Dispose();
        }
    }
}
