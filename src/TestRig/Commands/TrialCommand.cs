using System.CommandLine;
using System.Globalization;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Probing;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;
using TestRig.Core.Trials;

namespace TestRig.Commands;

/// <summary>testrig trial PROFILE: isolators tried in a socket, before they go into a board.</summary>
internal static class TrialCommand
{
    /// <summary>On a simulated bench without a keyboard nobody says when it is enough.</summary>
    private const int UnattendedParts = 10;

    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The socket's profile (YAML), for example profiles/isolator-socket.yaml." };
        var type = new Option<string?>("--type") { Description = "What the parts are said to be, by the name of a type in the part library; by default the type in the profile.", HelpName = "TYPE" };
        var parts = NumberOption.Create("--parts", $"How many parts there are; by default it goes on until q ({UnattendedParts} on a simulated bench without a keyboard).", least: 1);
        var contents = new Option<string[]>("--part")
        {
            Description = $"What a part of the simulated bench is (implies --adapter simulated; repeatable): 2=ctr:0.4x. Forms: {SimulatedSocket.Forms}.",
            HelpName = "NUMBER=HOW",
            DefaultValueFactory = _ => [],
        };
        var adapter = AdapterOption.Create();
        var folder = new Option<string?>("--out") { Description = "Also write trial.json, trial.html and run.log to this folder, which must not exist or be empty.", HelpName = "FOLDER" };
        var serial = SerialOption.Create("The socket's serial number, for the record.");
        var store = StoreOption.Create();
        var json = JsonOption.Create("the record");
        var command = new Command("trial", "Try isolators in a socket before they go into a board: transfer ratio, delays, leakage and forward voltage, against the data sheet and against each other.")
        {
            profile, type, parts, adapter, contents, serial, store, folder, json,
        };
        var simulated = new SimulatedBenchOptions(adapter, contents);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(type), parsed.GetValue(parts), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(contents)!,
                SerialOption.Read(parsed, serial), parsed.GetValue(store), parsed.GetValue(folder), parsed.GetValue(json)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Type, int? Parts, string? Adapter, SimulatedBench? Simulated, string[] Contents, string? Serial, string? Store, string? Folder, string? Json)
    {
        /// <summary>What tells the run again.</summary>
        public string Again(string run, IRunStore store) => $"testrig runs show {run}{StoreOption.Again(Store, store)}";
    }

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.LoadWithLibrary(request.Profile) is not var (board, source, library))
            return ExitCode.BadUsage;
        var judge = TrialRun.JudgeOf(board, ClaimedType(board, library, request.Type), library);
        var keys = ProbeKeys.Unscripted(request.Simulated is not null);
        var socket = request.Simulated is { } bench ? Contents(judge, bench, request.Contents, library) : null;
        // A store that cannot be used is known before the first part is measured, not after.
        await using var store = await RunStores.OpenAsync(request.Store, cancellation);
        var screen = JsonOption.Screen(request.Json);
        var view = new TrialView(screen, new SweepView(screen), keys);
        view.Cautions(board);
        await using var attached = socket is null ? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation) : null;
        var benches = new Dictionary<int, IAdapter>();
        IAdapter BenchOf(int number)
        {
            if (attached is not null)
                return attached;
            if (!benches.TryGetValue(number, out var adapter))
                benches[number] = adapter = socket!.Build(number, request.Simulated!.Seed);
            return adapter;
        }
        var adapter = BenchOf(0);
        var started = TimeProvider.System.GetLocalNow();
        var name = RunFolder.NameOf(Path.GetFileNameWithoutExtension(request.Profile.Name), started);
        var folder = request.Folder is { } path ? RunFolder.Create("", name, path) : null;
        await using var log = folder is null ? null : RunLog.Create(folder);
        view.Begin(board, adapter.Identity, judge.Claimed);
        if (await view.AskEmptyAsync(cancellation) != ProbeAnswer.Touched)
            throw new BadUsageException(["The empty socket was not measured, and every leakage is told against it: nothing was tried."]);
        var run = new TrialRun(judge, BenchOf, TimeProvider.System, (ILogger?)log ?? Serilog.Core.Logger.None);
        var (empty, problem) = await run.MeasureEmptyAsync(cancellation);
        var heading = await NewRun.HeadingAsync(
            store, name, RunKind.Trial, board, StoredTrial.SourceOf(source, library, judge), ExerciseMode.LogicOnly, started, request.Simulated is not null, request.Serial, cancellation);
        var kept = await StoredTrial.BeginAsync(store, heading, judge.Claimed, empty, adapter, cancellation);
        var batch = new Batch(run, view, kept, request.Parts ?? (keys.IsUnattended ? UnattendedParts : null));
        if (problem is null)
        {
            view.Empty(empty);
            view.Kept(heading.Id, store);
            await batch.TryAllAsync(cancellation);
        }
        var result = new TrialResult(judge.Board, judge.Claimed, adapter.Identity, started, empty, BatchTrial.Of([.. batch.Tried]), [.. batch.Skipped], problem ?? batch.Ending);
        await KeepAsync(new(heading, result, new(heading.Serial, [])), request, store, kept, batch.Keeping, folder, view);
        return batch.AdapterFailed ? ExitCode.Adapter : ExitCodeOf(result);
    }

    /// <summary>Tells what was found on every way out; where store or folder take no more, the screen and --json still have it.</summary>
    /// <exception cref="RunStorageException">Something could not be kept, after all else was.</exception>
    private static async Task KeepAsync(KeptTrial trial, Request request, IRunStore store, StoredTrial kept, RecordKeeping keeping, RunFolder? folder, TrialView view)
    {
        var record = trial.Record;
        if (folder is not null)
            trial.WriteTo(folder, keeping);
        await keeping.KeepAsync(() => kept.FinishAsync(trial.Result, TimeProvider.System.GetLocalNow(), record, CancellationToken.None));
        view.Finish(trial.Result, keeping.AllKept ? folder : null, request.Again(trial.Run.Id, store));
        await keeping.KeepAsync(() => JsonOption.WriteAsync(request.Json, record));
        keeping.Close();
    }

    /// <summary>One part after the other, as long as there are any.</summary>
    /// <param name="most">How many there are; null goes on until somebody says that it was the last one.</param>
    private sealed class Batch(TrialRun run, TrialView view, StoredTrial kept, int? most)
    {
        public List<PartTrial> Tried { get; } = [];

        public List<int> Skipped { get; } = [];

        /// <summary>Why it ended before all parts were tried; empty where it did not.</summary>
        public string Ending { get; private set; } = "";

        public bool AdapterFailed { get; private set; }

        public RecordKeeping Keeping { get; } = new();

        public async Task TryAllAsync(CancellationToken cancellation)
        {
            try
            {
                for (var number = 1; number <= (most ?? int.MaxValue); number++)
                {
                    var answer = await view.AskAsync(number, cancellation);
                    if (answer == ProbeAnswer.Quit)
                    {
                        Ending = most is null ? "" : "Ended before all parts were tried.";
                        return;
                    }
                    if (!(answer == ProbeAnswer.Skipped ? await SkipAsync(number) : await TryAsync(number, cancellation)))
                    {
                        Ending = string.Create(CultureInfo.InvariantCulture, $"The run store takes no more: part {number} is told here, and not kept.");
                        return;
                    }
                }
            }
            catch (OperationCanceledException)
            {
                Ending = "Cancelled: all lines are idle, the parts tried so far are kept.";
            }
            catch (AdapterException failure)
            {
                Ending = $"{failure.Message} The parts tried so far are kept.";
                AdapterFailed = true;
            }
        }

        /// <returns>Whether it was kept.</returns>
        private async Task<bool> TryAsync(int number, CancellationToken cancellation)
        {
            var (part, judged) = await run.TryAsync(number, cancellation);
            Tried.Add(judged);
            // Kept before it is told: what a technician has read is not lost.
            var durable = await Keeping.KeepAsync(() => kept.AppendAsync(part, judged, CancellationToken.None));
            view.Tell(judged);
            return durable;
        }

        /// <inheritdoc cref="TryAsync"/>
        private async Task<bool> SkipAsync(int number)
        {
            Skipped.Add(number);
            return await Keeping.KeepAsync(() => kept.AppendAsync(run.Skip(number), null, CancellationToken.None));
        }
    }

    /// <exception cref="BadUsageException">There is no such isolator in the library.</exception>
    /// <exception cref="ProfileMismatchException">The board is no socket.</exception>
    private static IsolatorType ClaimedType(Board board, PartLibrary library, string? name)
    {
        var types = library.Types.Values.OfType<IsolatorType>().ToList();
        var socket = TrialRun.SocketOf(board);
        return name is null ? socket.Part.IsolatorType
            : types.Find(type => type.Name == name && socket.Takes(type))
            ?? throw new BadUsageException([$"--type {name}: the part library has no isolator of that name with the pins that the socket is wired for. It has {string.Join(", ", types.Where(socket.Takes).Select(type => type.Name))}."]);
    }

    /// <exception cref="BadUsageException">What is said to be in the socket cannot be there.</exception>
    private static SimulatedSocket Contents(TrialJudge judge, SimulatedBench bench, string[] written, PartLibrary library)
    {
        var (contents, errors) = SimulatedSocket.Of(judge.Board, bench.Faults, written, library);
        return contents ?? throw new BadUsageException([.. errors]);
    }

    private static int ExitCodeOf(TrialResult result) => result.Batch.Verdict switch
    {
        TrialVerdict.Violates => ExitCode.FaultsFound,
        TrialVerdict.Conforms when !result.IsIncomplete => ExitCode.AllWorking,
        _ => ExitCode.Incomplete,
    };
}
