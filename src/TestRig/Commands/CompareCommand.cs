using System.Collections.Immutable;
using System.CommandLine;
using Spectre.Console;
using TestRig.Bench.Comparing;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>testrig compare RUN RUN: before and after.</summary>
internal static class CompareCommand
{
    private const string Page = "compare.html", Record = "compare.json";

    public static Command Create()
    {
        var before = new Argument<string>("BEFORE") { Description = "The earlier run, by its name." };
        var after = new Argument<string>("AFTER") { Description = "The later run, by its name." };
        var (store, json) = (StoreOption.Create(), JsonOption.Create("the comparison"));
        var folder = new Option<string?>("--out") { Description = $"Also write {Page} with both runs' waveforms, {Record} and the pictures to this folder.", HelpName = "FOLDER" };
        var command = new Command("compare", "Say what changed between two runs, what of it is significant, and what is not. Ends with 1 when something got worse.") { before, after, json, folder, store };
        command.SetAction((parsed, cancellation) => RunAsync(parsed.GetRequiredValue(before), parsed.GetRequiredValue(after), parsed.GetValue(json), parsed.GetValue(folder), parsed.GetValue(store), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(string before, string after, string? json, string? folder, string? place, CancellationToken cancellation)
    {
        var font = folder is null ? null : PlotFont.Find();
        await using var store = await RunStores.OpenAsync(place, cancellation);
        var comparison = await ComparedRuns.ReadAsync(
            store, await RunArgument.FindOfChannelsAsync(store, before, cancellation), await RunArgument.FindOfChannelsAsync(store, after, cancellation), cancellation);
        Tell(JsonOption.Screen(json), comparison);
        var record = ComparisonJson.Write(comparison);
        var keeping = new RecordKeeping();
        await keeping.KeepAsync(() => JsonOption.WriteAsync(json, record));
        if (folder is not null)
            await keeping.KeepAsync(() => WriteAsync(store, comparison, record, folder, new(font!), JsonOption.Screen(json), cancellation));
        keeping.Close();
        return comparison.AnyWorse ? ExitCode.FaultsFound : comparison.AnyUndecided ? ExitCode.Incomplete : ExitCode.AllWorking;
    }

    private static void Tell(TextScreen screen, RunComparison comparison)
    {
        screen.Say("Before   ", ComparisonWords.Of(comparison.Before));
        screen.Say("After    ", ComparisonWords.Of(comparison.After));
        foreach (var note in comparison.Notes)
            screen.Say("Note     ", NoteWords.Of(note));
        if (comparison.Before.Board.Name != comparison.After.Board.Name)
            screen.Say("Boards   ", $"differ: {comparison.Before.Board.Name}, and {comparison.After.Board.Name}; channels of the same name are compared");
        else if (comparison.Before.Run.Heading.Profile.Text != comparison.After.Run.Heading.Profile.Text)
            screen.Say("Profile  ", "changed between the runs; each was judged by its own, and limits are those of the later one");
        screen.Say();
        screen.Show(Table(comparison));
        foreach (var channel in comparison.Channels.Where(channel => channel.Standing != Standing.Same))
            screen.Say("Channel  ", $"{channel.Channel}, {ComparisonWords.Of(channel.Standing)}. {ComparisonWords.Of(channel)}");
        foreach (var channel in comparison.Channels)
        {
            foreach (var figure in channel.Figures.Where(figure => figure.Standing is not (Standing.Same or Standing.Undecided)).OrderByDescending(figure => figure.Standing))
                screen.Say("Figure   ", $"{channel.Channel} {ComparisonWords.Of(figure)}");
        }
        if (comparison.Channels.Sum(channel => channel.Figures.Count(figure => figure.Standing == Standing.Undecided)) is > 0 and var open)
            screen.Say("Open     ", $"{open} figures are another each time, or nothing is kept that tells how sure they are: not compared");
        if (comparison.Channels.Sum(channel => channel.OnlyOnce.Length) is > 0 and var once)
            screen.Say("Missing  ", $"{once} figures were measured in one of the runs only");
        if (!comparison.OnlyBefore.IsEmpty || !comparison.OnlyAfter.IsEmpty)
            screen.Say("Channels ", $"only before: {Named(comparison.OnlyBefore)}; only after: {Named(comparison.OnlyAfter)}");
        screen.Say("Same     ", ComparisonWords.Unchanged(comparison));
        screen.Say("Rule     ", ComparisonWords.Rule(comparison));
        screen.Say("Verdict  ", ComparisonWords.Verdict(comparison));
    }

    private static string Named(ImmutableArray<string> channels) => channels.IsEmpty ? "none" : string.Join(", ", channels);

    private static Table Table(RunComparison comparison)
    {
        var table = new Table().Border(TableBorder.Simple);
        table.AddColumns("Channel", "Before", "After", "Condition");
        table.AddColumn(new TableColumn("Figures").RightAligned().NoWrap());
        table.AddColumn(new TableColumn("differ").RightAligned().NoWrap());
        foreach (var channel in comparison.Channels)
        {
            table.AddRow(
                new Text(channel.Channel), new Text(ComparisonWords.State(channel.Before)), new Text(ComparisonWords.State(channel.After)), new Text(ComparisonWords.Of(channel.Standing)),
                new Text(SoakWords.Number(channel.Figures.Length)), new Text(SoakWords.Number(channel.Figures.Count(figure => figure.Standing is not (Standing.Same or Standing.Undecided)))));
        }
        return table;
    }

    /// <exception cref="RunStorageException">The folder takes it not.</exception>
    private static async Task WriteAsync(IRunStore store, RunComparison comparison, string record, string exact, WaveformPlot plot, TextScreen screen, CancellationToken cancellation)
    {
        var folder = RunFolder.Create("compared", comparison.After.Run.Heading.Id, exact);
        folder.Write(Record, record);
        var pictures = ImmutableDictionary.CreateBuilder<string, ChannelPicture>();
        var (earlier, later) = (await DrawnAsync(store, comparison.Before, cancellation), await DrawnAsync(store, comparison.After, cancellation));
        foreach (var channel in comparison.Channels.Where(channel => channel.Overall != Standing.Same))
        {
            if (later?.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == channel.Channel) is not { Capture: not null } result)
                continue;
            var picture = WaveformPicture.Of(result, later.Heading);
            if (earlier?.Sweep.Channels.FirstOrDefault(result => result.Channel.Name == channel.Channel) is { Capture: not null } other)
                picture = picture.Under(other, $"{channel.Channel} of {comparison.Before.Run.Heading.Id}");
            pictures[channel.Channel] = ChannelPicture.Draw(plot, picture);
            folder.Write(RunFolder.PlotOf(channel.Channel), pictures[channel.Channel].Png);
        }
        folder.Write(Page, ComparisonReport.Write(comparison, pictures.ToImmutable()));
        screen.Say("Record   ", $"{SweepView.PathToShow(folder.Path)} ({Page}, {Record}{(pictures.Count > 0 ? ", waveforms" : "")})");
    }

    /// <summary>Null where no captures are kept of it: then there are fewer pictures.</summary>
    private static async Task<CapturedRun?> DrawnAsync(IRunStore store, RunFigures run, CancellationToken cancellation) =>
        (await store.KeptAsync(run.Run.Heading.Id, cancellation)).Count == 0 ? null : await CapturedRun.ReadAsync(store, run.Run, run.Board, null, cancellation);
}
