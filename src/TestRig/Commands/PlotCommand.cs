using System.CommandLine;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Showing;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Commands;

/// <summary>testrig plot RUN: pictures of a run, from the store alone.</summary>
internal static class PlotCommand
{
    public static Command Create()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var channel = new Option<string?>("--channel") { Description = "Only this channel; by default all, and of a soak's cycle those that failed in it.", HelpName = "CHANNEL" };
        var cycle = new Option<long?>("--cycle") { Description = "This cycle's waveforms; by default those of the first failing one whose captures are kept.", HelpName = "N" };
        var from = QuantityOption.Create<Duration?>("--from", "Waveforms from this time on, counted from the start of the capture, for example 4.9ms.", "TIME", QuantityText.Time);
        var to = QuantityOption.Create<Duration?>("--to", "Waveforms until then.", "TIME", QuantityText.Time);
        var size = SizeOption();
        var overlay = new Option<string?>("--overlay") { Description = "Lay this over it, dashed, edge on edge: another channel of the same cycle, or the same channel of another run.", HelpName = "CHANNEL|RUN" };
        var folder = new Option<string?>("--out") { Description = "The folder to write; by default a new one of the run's name in 'plots'.", HelpName = "FOLDER" };
        var command = new Command("plot", "Draw a run: waveforms of its channels, where its figures drift, and which stages work.") { run, channel, cycle, from, to, size, overlay, folder, store };
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(run), parsed.GetValue(channel), parsed.GetValue(cycle), parsed.GetValue(from), parsed.GetValue(to), parsed.GetValue(size), parsed.GetValue(overlay),
                parsed.GetValue(folder), parsed.GetValue(store)),
            cancellation));
        return command;
    }

    private static Option<(int Width, int Height)?> SizeOption() => new("--size")
    {
        Description = $"Width and height of each waveform picture in pixels, for example 1920x1080; by default {WaveformPlot.DefaultWidth} wide and as high as it has points.",
        HelpName = "WxH",
        CustomParser = result =>
        {
            if (result.Tokens is not [var written])
                return null;
            var parts = written.Value.Split('x');
            if (parts is [var width, var height] && int.TryParse(width, NumberStyles.None, CultureInfo.InvariantCulture, out var wide) && int.TryParse(height, NumberStyles.None, CultureInfo.InvariantCulture, out var high)
                && wide is >= WaveformPlot.NarrowestWidth and <= WaveformPlot.LargestSide && high <= WaveformPlot.LargestSide)
            {
                return (wide, high);
            }
            result.AddError($"--size '{written.Value}' is not understood; write width x height in pixels, {WaveformPlot.NarrowestWidth} to {WaveformPlot.LargestSide} wide, for example 1920x1080.");
            return null;
        },
    };

    private sealed record Request(
        string Run, string? Channel, long? Cycle, Duration? From, Duration? To, (int Width, int Height)? Size, string? Overlay, string? Folder, string? Store);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        var plot = new WaveformPlot(PlotFont.Find());
        var pictures = new List<(string File, byte[] Png)>();
        await using var store = await RunStores.OpenAsync(request.Store, cancellation);
        var run = await RunArgument.FindOfChannelsAsync(store, request.Run, cancellation);
        if (ProfileInput.Load(run.Heading.Profile) is not { } board)
            return ExitCode.BadUsage;
        CapturedRun.CheckChannel(board, request.Channel);
        if (request is { From: null, To: null, Cycle: null, Overlay: null } && run.Cycles > 1)
            await NightAsync(store, run, board, request.Channel, pictures, cancellation);
        var drawn = await CapturedRun.ReadAsync(store, run, board, request.Cycle, cancellation);
        var over = request.Overlay is { } wanted ? await RunOverlay.ReadAsync(store, drawn, wanted, other => CapturedRun.ReadAsync(store, other, KeptProfile.Read(other), null, cancellation), cancellation) : null;
        foreach (var channel in Wanted(drawn, request.Channel))
            pictures.Add((RunFolder.PlotOf(drawn.FileOf(channel)), Waveform(plot, drawn, channel, over, request)));
        if (request is { From: null, To: null, Overlay: null, Channel: null })
            pictures.Insert(0, (RunFolder.Map, new BoardMapPlot(PlotFont.Find()).ToPng(BoardMap.Of(drawn.Sweep))));

        var folder = RunFolder.Create("plots", run.Heading.Id, request.Folder);
        var screen = TextScreen.OnOutput();
        foreach (var (file, png) in pictures)
        {
            folder.Write(file, png);
            screen.Say("Picture  ", SweepView.PathToShow(Path.Combine(folder.Path, file)));
        }
        return ExitCode.AllWorking;
    }

    /// <summary>What drifted from cycle to cycle, or from round to round of a sweep, and when it failed.</summary>
    private static async Task NightAsync(IRunStore store, StoredRun run, Board board, string? channel, List<(string File, byte[] Png)> pictures, CancellationToken cancellation)
    {
        var night = await RunNight.ReadAsync(store, run, board, channel, cancellation);
        var (drifts, bounces) = (new DriftPlot(PlotFont.Find()), new BouncePlot(PlotFont.Find()));
        foreach (var picture in night.Drifts)
            pictures.Add((RunFolder.DriftOf(picture.Channel), drifts.ToPng(picture)));
        foreach (var picture in night.Bounces)
            pictures.Add((RunFolder.BounceOf(picture.Channel, picture.TestPoint), bounces.ToPng(picture)));
    }

    private static IEnumerable<ChannelResult> Wanted(CapturedRun drawn, string? channel)
    {
        var exercised = drawn.Exercised(channel);
        return channel is null && drawn.Cycle is not null && exercised.Any(result => result.IsFaulty) ? exercised.Where(result => result.IsFaulty) : exercised;
    }

    /// <exception cref="RunQuestionException">The stretch of time, or what is to be laid over, does not fit this picture.</exception>
    /// <exception cref="BadUsageException">The size does not.</exception>
    private static byte[] Waveform(WaveformPlot plot, CapturedRun drawn, ChannelResult channel, RunOverlay? over, Request request)
    {
        var picture = drawn.Picture(channel, over, request.From, request.To);
        if (request.Size is var (_, height) && height < WaveformPlot.LeastHeightOf(picture))
            throw new BadUsageException([$"The picture of {channel.Channel.Name} has {picture.Panels.Length} points: it needs a height of {WaveformPlot.LeastHeightOf(picture)} pixels at least."]);
        return plot.ToPng(picture, request.Size?.Width ?? WaveformPlot.DefaultWidth, request.Size?.Height);
    }
}
