using System.Collections.Immutable;
using System.CommandLine;
using Serilog;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
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
        var command = new Command("sweep", "Exercise and judge every channel.") { profile, adapter, motion, motorOff, noStop, json, folder };
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile),
                parsed.GetValue(adapter),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop)),
                parsed.GetValue(json),
                parsed.GetValue(folder)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Adapter, SweepOptions Options, string? Json, string? Folder);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        // A missing font must be known before a motor has moved, not after.
        var plot = new WaveformPlot(PlotFont.Find());

        var view = new SweepView(JsonOption.Screen(request.Json));
        view.Cautions(board, request.Options.Mode);
        await using var adapter = await AdapterOption.OpenAsync(request.Adapter, cancellation).ConfigureAwait(false);
        var folder = RunFolder.Create("runs", Path.GetFileNameWithoutExtension(request.Profile.Name), TimeProvider.System.GetLocalNow(), request.Folder);
        await using var log = new LoggerConfiguration()
            .Enrich.WithProperty("Run", Path.GetFileName(folder.Path))
            .WriteTo.File(folder.LogFile, formatProvider: System.Globalization.CultureInfo.InvariantCulture)
            .CreateLogger();
        log.Information("Sweep of {Board} ({Profile}) through {Kind} {Place}", board.Name, request.Profile.FullName, adapter.Identity.Kind, adapter.Identity.Place);
        view.Start(board, adapter.Identity);

        var sweep = new Sweep(board, adapter, request.Options, TimeProvider.System, log);
        var result = await view.FollowAsync(progress => sweep.RunAsync(progress, cancellation)).ConfigureAwait(false);
        var record = Keep(result, request.Profile.ToString(), folder, plot);
        view.Finish(result, folder);
        await JsonOption.WriteAsync(request.Json, record).ConfigureAwait(false);
        log.Information("Ended: {Outcome} {Words}", result.Ending.Outcome, result.Ending.Words);
        return ExitCodeOf(result);
    }

    private static string Keep(SweepResult result, string profile, RunFolder folder, WaveformPlot plot)
    {
        var heading = new PictureHeading(result.Board.Name, result.Started, Simulated: false);
        var plots = ImmutableDictionary.CreateBuilder<string, string>();
        var pictures = ImmutableDictionary.CreateBuilder<string, ChannelPicture>();
        foreach (var channel in result.Channels.Where(channel => channel.Capture is not null))
        {
            var path = RunFolder.PlotOf(channel.Channel.Name);
            var picture = WaveformPicture.Of(channel, heading);
            var png = plot.ToPng(picture);
            folder.Write(path, png);
            plots[channel.Channel.Name] = path;
            pictures[channel.Channel.Name] = new(png, PictureDescription.Of(picture));
            var capture = new CaptureHeading(
                result.Board.Name, channel.Channel.Name, Words.Adapter(result.Adapter), result.Started, ProgramVersion.Text);
            folder.Write(RunFolder.CaptureOf(channel.Channel.Name), CaptureVcd.Write(capture, channel.Capture!));
        }
        var record = RunJson.Write(result, profile, plots.ToImmutable());
        folder.Write("run.json", record);
        folder.Write("junit.xml", RunJunit.Write(result, profile));
        folder.Write("report.html", RunReport.Write(result, profile, pictures.ToImmutable()));
        return record;
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
