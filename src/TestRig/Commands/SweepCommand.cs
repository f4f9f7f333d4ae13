using System.CommandLine;
using Serilog.Core;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig sweep PROFILE: exercise and judge every channel.</summary>
internal static class SweepCommand
{
    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var adapter = AdapterOption.Create();
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var json = JsonOption.Create("the run's record");
        var folder = new Option<string?>("--out") { Description = "The run's folder; by default a new one in 'runs'.", HelpName = "FOLDER" };
        var fast = new Option<bool>("--fast") { Description = "Channels that share nothing together, as many as the profile's lines-on-together; what is not clear then again, alone." };
        var repeat = NumberOption.Create("--repeat", "Every channel so often, one round after another; with --allow-motion the machine moves as often.", least: 1);
        var serial = SerialOption.Create("The board's serial number, for the record.");
        var store = StoreOption.Create();
        var open = new Option<bool>("--open") { Description = "At the end show the picture of the first faulty channel; report.html where none is faulty." };
        var simulated = new SimulatedBenchOptions(adapter);
        var command = new Command("sweep", "Exercise and judge every channel.") { profile, adapter, motion, motorOff, noStop, fast, repeat, serial, json, folder, store, open };
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile),
                parsed.GetValue(adapter),
                simulated.Read(parsed),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop))
                {
                    Together = parsed.GetValue(fast),
                    Repeats = parsed.GetValue(repeat) ?? 1,
                },
                SerialOption.Read(parsed, serial),
                parsed.GetValue(json),
                parsed.GetValue(folder),
                parsed.GetValue(store),
                parsed.GetValue(open)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Adapter, SimulatedBench? Simulated, SweepOptions Options, string? Serial, string? Json, string? Folder, string? Store, bool Open);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.LoadWithSource(request.Profile) is not var (board, source))
            return ExitCode.BadUsage;
        // So must a store that cannot be used.
        await using var store = await RunStores.OpenAsync(request.Store, cancellation);
        var simulated = request.Simulated?.Build(board, request.Options.Mode);
        // A missing font must be known before a motor has moved, not after.
        var font = PlotFont.Find();

        var view = new SweepView(JsonOption.Screen(request.Json));
        view.Cautions(board, request.Options.Mode);
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation);
        var folder = RunFolder.Create("runs", RunFolder.NameOf(Path.GetFileNameWithoutExtension(request.Profile.Name), TimeProvider.System.GetLocalNow()), request.Folder);
        var log = RunLog.Create(folder);
        log.Information("testrig {Version}, {Mode}: {Board} ({Profile}) through {Kind} {Place}, firmware {Firmware}",
            ProgramVersion.Text, Words.Of(request.Options.Mode), board.Name, request.Profile.FullName, adapter.Identity.Kind, adapter.Identity.Place, adapter.Identity.Firmware);
        foreach (var fault in request.Simulated?.Faults ?? [])
            log.Information("Simulated fault: {Fault}", fault);
        view.Start(board, adapter.Identity);

        var sweep = new Sweep(board, adapter, request.Options, TimeProvider.System, log);
        try
        {
            var result = await view.FollowAsync(progress => sweep.RunAsync(progress, cancellation));
            var ended = TimeProvider.System.GetLocalNow();
            await ReportAsync(result, request, folder, font, view, record => NewRun.KeepAsync(store, folder.Run, source, result, adapter.Pins, ended, record, request.Serial));
            if (request.Open)
                await OpenAsync(result, folder, view);
            if (result.Link is { } link)
                log.Information("Link: {Link}", Words.Of(link, result.Ending) ?? "nothing damaged");
            log.Information("Ended: {Outcome}. {Verdict} {Words}", Words.Of(result.Ending.Outcome), Words.Verdict(result), result.Ending.Words);
            return ExitCodeOf(result);
        }
        catch (Exception cause) when (cause is ProfileMismatchException or RunStorageException)
        {
            log.Error("Ended: {Words}", cause.Message);
            throw;
        }
        finally
        {
            await CloseAsync(log, folder);
        }
    }

    private static async Task OpenAsync(SweepResult result, RunFolder folder, SweepView view)
    {
        var faulty = result.Channels.FirstOrDefault(channel => channel.IsFaulty && channel.Capture is not null);
        var file = Path.Combine(folder.Path, faulty is null ? "report.html" : RunFolder.PlotOf(faulty.Channel.Name));
        view.Opened(faulty is null ? "Report" : "Picture", file, await DesktopViewer.OpenAsync(file));
    }

    /// <summary>Only here does the log tell that the disk took no more of it.</summary>
    /// <exception cref="RunStorageException">The log's end could not be written.</exception>
    private static async Task CloseAsync(Logger log, RunFolder folder)
    {
        try
        {
            await log.DisposeAsync();
        }
        catch (IOException cause)
        {
            throw new RunStorageException($"{cause.Message}. The record in {folder.Path} is not whole; what was found is above. Free some space, or choose another folder with --out.", cause);
        }
    }

    /// <summary>
    /// Tells the verdict on every way out: a motor may have moved for it. Where the folder takes no more, the screen and --json still have it.
    /// </summary>
    /// <exception cref="RunStorageException">Something could not be kept, after all else was.</exception>
    private static async Task ReportAsync(SweepResult result, Request request, RunFolder folder, PlotFont font, SweepView view, Func<string, Task> keepInStore)
    {
        var keeping = new RecordKeeping();
        var profile = request.Profile.ToString();
        var inject = result.Diagnosis.InjectAt is { } net ? InjectCommand.LineOf(profile, net, request.Adapter, request.Simulated, request.Options) : null;
        var record = new RecordFolder(folder, font, keeping, new(request.Serial, [])).Write(result, profile, inject);
        view.Finish(result, keeping.AllKept ? folder : null, inject);
        await keeping.KeepAsync(() => keepInStore(record));
        await keeping.KeepAsync(() => JsonOption.WriteAsync(request.Json, record));
        keeping.Close();
    }

    private static int ExitCodeOf(SweepResult result) => result.Ending.Outcome switch
    {
        SweepOutcome.AdapterFailed => ExitCode.Adapter,
        SweepOutcome.StoppedForSafety => ExitCode.Safety,
        _ when result.AnyFaulty => ExitCode.FaultsFound,
        _ when result.Incomplete => ExitCode.Incomplete,
        _ => ExitCode.AllWorking,
    };
}
