using System.CommandLine;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
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
        var over = request.Overlay is { } wanted ? await OverlayAsync(store, drawn, wanted, cancellation) : null;
        foreach (var channel in Wanted(drawn, request.Channel))
            pictures.Add((RunFolder.PlotOf(drawn.FileOf(channel)), Waveform(plot, drawn, channel, over, request)));
        if (pictures.Count == 0)
            throw drawn.NothingOf(request.Channel);

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
        var soak = new StoredSoak(run, board, CapturedRun.WatchedIdle(run), (_, _) => Diagnosis.None);
        await soak.ReadAsync(store, cancellation);
        if (soak.Findings() is not { } findings)
            return;
        var plot = new DriftPlot(PlotFont.Find());
        foreach (var picture in DriftPicture.OfAll(findings).Where(picture => channel is null || picture.Channel == channel))
            pictures.Add((RunFolder.DriftOf(picture.Channel), plot.ToPng(picture)));
        foreach (var (file, picture) in await BouncesAsync(store, findings, channel, cancellation))
            pictures.Add((file, new BouncePlot(PlotFont.Find()).ToPng(picture)));
    }

    /// <summary>Of every contact, from all cycles.</summary>
    private static async Task<IReadOnlyList<(string File, BouncePicture Picture)>> BouncesAsync(IRunStore store, SoakFindings findings, string? channel, CancellationToken cancellation)
    {
        var values = new Dictionary<FigureKey, List<long>>();
        await foreach (var cycle in store.CyclesAsync(findings.Run.Id, 1, cancellation))
        {
            foreach (var figure in cycle.Figures.Where(figure => figure.Key.Kind is FigureKind.Bounces or FigureKind.SettleTime && (channel is null || figure.Key.Channel == channel)))
            {
                if (!values.TryGetValue(figure.Key, out var known))
                    values[figure.Key] = known = [];
                known.Add(figure.Value);
            }
        }
        return [.. BouncePicture.OfAll(findings, values.ToDictionary(entry => entry.Key, entry => (IReadOnlyList<long>)entry.Value)).Select(picture => (RunFolder.BounceOf(picture.Channel, picture.TestPoint), picture))];
    }

    private static IEnumerable<ChannelResult> Wanted(CapturedRun drawn, string? channel)
    {
        var exercised = drawn.Exercised(channel);
        return channel is null && drawn.Cycle is not null && exercised.Exists(result => result.IsFaulty) ? exercised.Where(result => result.IsFaulty) : exercised;
    }

    /// <exception cref="BadUsageException">The stretch of time, or the size, does not fit this picture.</exception>
    private static byte[] Waveform(WaveformPlot plot, CapturedRun drawn, ChannelResult channel, Func<ChannelResult, (ChannelResult Other, string Name)>? over, Request request)
    {
        var picture = WaveformPicture.Of(channel, drawn.Heading);
        if (over is not null)
        {
            var (other, name) = over(channel);
            picture = picture.Under(other, name);
        }
        if (request.From is not null || request.To is not null)
        {
            var (from, to) = (Instant.Start + (request.From ?? Duration.Zero), request.To is { } until ? Instant.Start + until : channel.Capture!.End);
            if (from >= to || to > channel.Capture!.End)
                throw new BadUsageException([$"The capture of {channel.Channel.Name} is {channel.Capture!.End - Instant.Start} long: --from and --to must lie within it, --from first."]);
            picture = picture.Between(from, to);
        }
        if (request.Size is var (_, height) && height < WaveformPlot.LeastHeightOf(picture))
            throw new BadUsageException([$"The picture of {channel.Channel.Name} has {picture.Panels.Length} points: it needs a height of {WaveformPlot.LeastHeightOf(picture)} pixels at least."]);
        return plot.ToPng(picture, request.Size?.Width ?? WaveformPlot.DefaultWidth, request.Size?.Height);
    }

    /// <summary>What is laid over each channel, and what it is called.</summary>
    /// <exception cref="BadUsageException">There is no such channel and no such run, or it has nothing to lay over.</exception>
    private static async Task<Func<ChannelResult, (ChannelResult Other, string Name)>> OverlayAsync(IRunStore store, CapturedRun drawn, string wanted, CancellationToken cancellation)
    {
        (ChannelResult Other, string Name) Captured(ChannelResult? other, string name) => other?.Capture is not null ? (other, name) : throw new BadUsageException([$"{name} was not exercised: it cannot be laid over."]);
        if (drawn.Sweep.Channels.FirstOrDefault(channel => channel.Channel.Name == wanted) is { } sibling)
            return _ => Captured(sibling, wanted);
        if (await store.FindAsync(wanted, cancellation) is null)
            throw new BadUsageException([$"There is no channel '{wanted}' on this board, and no run of that name in {store.Place}: nothing can be laid over."]);
        var run = await RunArgument.FindOfChannelsAsync(store, wanted, cancellation);
        if (ProfileInput.Load(run.Heading.Profile) is not { } board)
            throw new BadUsageException([$"The profile of run {wanted} cannot be used: nothing can be laid over."]);
        var other = await CapturedRun.ReadAsync(store, run, board, null, cancellation);
        return channel => Captured(other.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == channel.Channel.Name), $"{channel.Channel.Name} of {wanted}");
    }
}
