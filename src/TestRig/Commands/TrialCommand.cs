using System.Collections.Immutable;
using System.CommandLine;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Probing;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
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
        var json = JsonOption.Create("the record");
        var command = new Command("trial", "Try isolators in a socket before they go into a board: transfer ratio, delays, leakage and forward voltage, against the data sheet and against each other.")
        {
            profile, type, parts, adapter, contents, folder, json,
        };
        var simulated = new SimulatedBenchOptions(adapter, contents);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(type), parsed.GetValue(parts), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(contents)!, parsed.GetValue(folder),
                parsed.GetValue(json)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Type, int? Parts, string? Adapter, SimulatedBench? Simulated, string[] Contents, string? Folder, string? Json);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.LoadWithLibrary(request.Profile) is not var (board, library))
            return ExitCode.BadUsage;
        var claimed = ClaimedType(board, library, request.Type);
        var keys = ProbeKeys.Unscripted(request.Simulated is not null);
        var socket = request.Simulated is { } bench ? Contents(board, claimed, bench, request.Contents, library) : null;
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
        var identity = BenchOf(0).Identity;
        var folder = request.Folder is { } path ? RunFolder.Create("", "", path) : null;
        await using var log = folder is null ? null : RunLog.Create(folder);
        var run = new TrialRun(board, claimed, library.Types.Values.OfType<IsolatorType>(), BenchOf, TimeProvider.System, (ILogger?)log ?? Serilog.Core.Logger.None);
        var result = await TryAllAsync(run, claimed, identity, request.Parts ?? (keys.IsUnattended ? UnattendedParts : null), view, cancellation);
        var record = TrialJson.Write(result, request.Profile.ToString());
        var keeping = new RecordKeeping();
        if (folder is not null)
        {
            keeping.Keep(() => folder.Write("trial.json", record));
            keeping.Keep(() => folder.Write("trial.html", TrialPage.Write(result, request.Profile.ToString())));
        }
        view.Finish(result, keeping.AllKept ? folder : null);
        await keeping.KeepAsync(() => JsonOption.WriteAsync(request.Json, record));
        keeping.Close();
        return ExitCodeOf(result);
    }

    private static async Task<TrialResult> TryAllAsync(TrialRun run, IsolatorType claimed, AdapterIdentity adapter, int? most, TrialView view, CancellationToken cancellation)
    {
        var started = TimeProvider.System.GetLocalNow();
        view.Begin(run.Board, adapter, claimed);
        var tried = ImmutableArray.CreateBuilder<PartTrial>();
        var skipped = ImmutableArray.CreateBuilder<int>();
        if (await view.AskEmptyAsync(cancellation) != ProbeAnswer.Touched)
            throw new BadUsageException(["The empty socket was not measured, and every leakage is told against it: nothing was tried."]);
        var (leaks, problem) = await run.MeasureEmptyAsync(cancellation);
        TrialResult Result(string ending) => new(run.Board, claimed, adapter, started, leaks, BatchTrial.Of(tried.ToImmutable()), skipped.ToImmutable(), ending);
        if (problem is not null)
            return Result(problem);
        view.Empty(leaks);
        try
        {
            for (var number = 1; number <= (most ?? int.MaxValue); number++)
            {
                var answer = await view.AskAsync(number, cancellation);
                if (answer == ProbeAnswer.Quit)
                    return Result(most is null ? "" : "Ended before all parts were tried.");
                if (answer == ProbeAnswer.Skipped)
                {
                    skipped.Add(number);
                    continue;
                }
                tried.Add(await run.TryAsync(number, cancellation));
                view.Tell(tried[^1]);
            }
        }
        catch (OperationCanceledException)
        {
            return Result("Cancelled: all lines are idle, the parts tried so far are kept.");
        }
        return Result("");
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
    private static SimulatedSocket Contents(Board board, IsolatorType claimed, SimulatedBench bench, string[] written, PartLibrary library)
    {
        var (contents, errors) = SimulatedSocket.Of(board.Socket!.With(board, claimed), bench.Faults, written, library);
        return contents ?? throw new BadUsageException([.. errors]);
    }

    private static int ExitCodeOf(TrialResult result) => result.Batch.Verdict switch
    {
        TrialVerdict.Violates => ExitCode.FaultsFound,
        TrialVerdict.Conforms when !result.IsIncomplete => ExitCode.AllWorking,
        _ => ExitCode.Incomplete,
    };
}
