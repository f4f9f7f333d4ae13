using System.CommandLine;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Recordings;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig judge PROFILE FILE: judge what another instrument recorded.</summary>
internal static class JudgeCommand
{
    private const double Million = 1e6;

    private const string StandardInput = "-";

    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var file = new Argument<string>("FILE") { Description = "The recording: a value change dump (.vcd), or the time and the signals in columns (.csv, .tsv); packed with gzip or not; - for standard input." };
        var motion = new Option<bool>("--motion") { Description = "The motor supply was on while it was recorded: encoders and switches are judged too." };
        var resolution = QuantityOption.Create<Duration?>(
            "--resolution", "How far before its stamp a change may have been made, for example the instrument's sampling interval; by default what the profile or the file says, else one step of its times.", "TIME", QuantityText.Time);
        var clock = ClockTolerance();
        var serial = SerialOption.Create("The board's serial number, for the record.");
        var (json, store) = (JsonOption.Create("the run's record"), StoreOption.Create());
        var folder = new Option<string?>("--out") { Description = "The run's folder; by default a new one in 'runs'.", HelpName = "FOLDER" };
        var command = new Command("judge", "Judge what another instrument recorded.") { profile, file, motion, resolution, clock, serial, json, folder, store };
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile),
                parsed.GetRequiredValue(file),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(resolution), parsed.GetValue(clock)),
                SerialOption.Read(parsed, serial),
                parsed.GetValue(json),
                parsed.GetValue(folder),
                parsed.GetValue(store)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string File, RecordingOptions Options, string? Serial, string? Json, string? Folder, string? Store);

    private static Option<double?> ClockTolerance() => new("--clock-ppm")
    {
        Description = "By how many millionths the instrument's clock may be off, either way; by default what the profile says, else 0.",
        HelpName = "PPM",
        CustomParser = result =>
        {
            if (result.Tokens is not [var written])
                return null;
            if (double.TryParse(written.Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var millionths) && millionths is >= 0 and < Million)
                return millionths / Million;
            result.AddError($"--clock-ppm '{written.Value}' is not understood; write a number of millionths from 0, for example 50.");
            return null;
        },
    };

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.LoadWithSource(request.Profile) is not var (board, source))
            return ExitCode.BadUsage;
        await using var store = await RunStores.OpenAsync(request.Store, cancellation);
        var font = PlotFont.Find();
        await using var stream = Open(request.File);
        var place = request.File == StandardInput ? "standard input" : request.File;
        var view = new JudgeView(JsonOption.Screen(request.Json));
        view.Start(board, place);
        var judge = new RecordingJudge(board, place, request.Options, TimeProvider.System);
        var (sweep, pins) = await view.FollowAsync(stream.CanSeek ? stream.Length : null, progress => judge.Judge(stream, progress, cancellation), cancellation);
        var ended = TimeProvider.System.GetLocalNow();

        var folder = RunFolder.Create("runs", RunFolder.NameOf(Path.GetFileNameWithoutExtension(request.Profile.Name), sweep.Started), request.Folder);
        await using var log = RunLog.Create(folder);
        log.Information("testrig {Version}: {File}, judged by {Profile}. {Verdict}", ProgramVersion.Text, place, request.Profile.FullName, Words.Verdict(sweep));
        var keeping = new RecordKeeping();
        var record = new RecordFolder(folder, font, keeping, new(request.Serial, [])).Write(sweep, request.Profile.ToString(), inject: null);
        view.Finish(sweep, keeping.AllKept ? folder : null);
        await keeping.KeepAsync(() => NewRun.KeepAsync(store, folder.Run, source, sweep, pins, ended, record, request.Serial));
        await keeping.KeepAsync(() => JsonOption.WriteAsync(request.Json, record));
        keeping.Close();
        return sweep.AnyFaulty ? ExitCode.FaultsFound : sweep.Incomplete ? ExitCode.Incomplete : ExitCode.AllWorking;
    }

    /// <exception cref="RecordingException">It cannot be opened.</exception>
    private static Stream Open(string file)
    {
        const int OwnBuffers = 0;
        if (file == StandardInput)
            return Console.IsInputRedirected ? Console.OpenStandardInput() : throw new RecordingException("standard input", 0, "it is the keyboard", "send a recording through a pipe: 'zcat recording.vcd.gz | testrig judge PROFILE -'");
        try
        {
            return new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, OwnBuffers, FileOptions.SequentialScan);
        }
        catch (Exception cause) when (cause is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new RecordingException(file, 0, $"it cannot be read: {cause.Message.TrimEnd('.')}", "name a recording, .vcd or .csv", cause);
        }
    }
}
