using Spectre.Console;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>Shows a sweep: a live table in a terminal, plain lines elsewhere. A condition is always a word; colour only repeats it.</summary>
internal sealed class SweepView(TextScreen screen)
{
    public void Cautions(Board board, ExerciseMode mode)
    {
        foreach (var caution in Bench.Reporting.Cautions.For(board, mode))
            screen.Say("CAUTION  ", caution);
        screen.Say();
    }

    public void Start(Board board, AdapterIdentity adapter)
    {
        screen.Say("Board    ", $"{board.Name}: {Words.Count(board.Channels.Length, "channel")}");
        screen.Say("Adapter  ", $"{adapter.Board} at {adapter.Place}, firmware {adapter.Firmware}, resolution {adapter.Resolution}");
        foreach (var caution in Bench.Reporting.Cautions.For(adapter))
            screen.Say("CAUTION  ", caution);
        screen.Say();
    }

    public void Say(CheckDone check) => screen.Say("check    ", $"{check.Name}: {Words.Of(check)}, {check.Words}");

    /// <summary>Only of a disturbed link.</summary>
    public void SayLink(LinkHealth? link, SweepEnding ending)
    {
        if (Words.Of(link, ending) is { } disturbed)
            screen.Say("Link     ", disturbed);
    }

    public async Task<SweepResult> FollowAsync(Func<IProgress<SweepEvent>, Task<SweepResult>> run)
    {
        if (!screen.IsLive)
            return await run(new ToldAtOnce<SweepEvent>(PlainLine));

        var table = new Table().Border(TableBorder.Simple).Expand();
        table.AddColumn(new TableColumn("Channel").NoWrap());
        table.AddColumn(new TableColumn("Condition").NoWrap());
        table.AddColumn("Seen");
        var rows = new Dictionary<string, int>();
        // A table taller than the screen shows its newest rows while it grows, and is written whole when it is done.
        var result = await screen.Console.Live(table)
            .AutoClear(true)
            .Overflow(VerticalOverflow.Crop)
            .Cropping(VerticalOverflowCropping.Top)
            .StartAsync(context => run(new ToldAtOnce<SweepEvent>(step =>
            {
                AddRow(table, rows, step);
                context.Refresh();
            })));
        screen.Show(table);
        return result;
    }

    /// <summary>Each step in a line of its own, in a terminal too.</summary>
    public IProgress<SweepEvent> PlainProgress() => new ToldAtOnce<SweepEvent>(PlainLine);

    /// <param name="folder">Null when it does not hold the whole record.</param>
    /// <param name="inject">The command of the injection that the diagnosis proposes; null where it proposes none.</param>
    public void Finish(SweepResult result, RunFolder? folder, string? inject)
    {
        screen.Say();
        if (result.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", result.Ending.Words);
        SayFaults(result.Diagnosis, result.Spares, inject);
        SayLink(result.Link, result.Ending);
        if (result.Adapter is { IsSimulated: false, IsRecording: false })
            screen.Say("Leads    ", "before one comes off: the board's supplies off, then the adapter's cable; then lines first, ground clips last.");
        screen.Say("Verdict  ", Words.Verdict(result));
        if (folder is not null)
            screen.Say("Record   ", $"{PathToShow(folder.Path)} ({RecordFolder.OfSweep})");
    }

    /// <inheritdoc cref="Finish"/>
    public void SayFaults(Diagnosis diagnosis, Spares spares, string? inject = null)
    {
        foreach (var fault in diagnosis.Faults)
        {
            screen.Say("Fault    ", Words.Where(fault));
            foreach (var suspect in fault.Suspects)
                screen.Say($"  {Words.Percent(suspect.Belief)}   ", Words.Of(suspect));
            screen.Say("  do     ", fault.Advice);
        }
        if (diagnosis.NextProbe is { } probe)
            screen.Say("  next   ", probe);
        foreach (var channel in diagnosis.Unexplained)
            screen.Say("Fault    ", $"in {channel}: no single fault of the profile explains what was seen; look at its picture.");
        if (inject is not null)
            screen.SayAsIs($"  run    {inject}{Environment.NewLine}");
        if (spares.IsEmpty)
            return;
        screen.Say("Spares   ", SpareWords.Now(spares));
        foreach (var words in SpareWords.Reserve(spares))
            screen.Say("  also   ", words);
    }

    /// <param name="kind">What sort of file it is, in one word.</param>
    /// <param name="problem">Why it is not on the screen; null when it is.</param>
    public void Opened(string kind, string file, string? problem) =>
        screen.Say(kind.PadRight(9), PathToShow(file) + (problem is null ? "" : $" (not opened: {problem})"));

    /// <summary>Relative where the folder lies below the current one, else whole.</summary>
    public static string PathToShow(string path)
    {
        var relative = Path.GetRelativePath(Environment.CurrentDirectory, path);
        return relative.StartsWith("..", StringComparison.Ordinal) ? path : relative;
    }

    private void PlainLine(SweepEvent step)
    {
        switch (step)
        {
            case CheckDone check:
                Say(check);
                break;
            case ExercisedAgain again:
                screen.Say("again    ", AgainWords(again));
                break;
            case RoundDone round:
                screen.Say("repeat   ", $"{round.Number} of {round.Of}: {Words.Conditions(round.Results)}");
                break;
            case ChannelJudged judged:
                screen.Say("channel  ", $"{judged.Result.Channel.Name}: {Words.Of(judged.Result.Condition).ToUpperInvariant()}. {judged.Result.Summary}");
                foreach (var delay in Words.MeanDelays(judged.Result))
                    screen.Say("  delay  ", delay);
                break;
            default:
                break;
        }
    }

    private static void AddRow(Table table, Dictionary<string, int> rows, SweepEvent step)
    {
        switch (step)
        {
            case CheckDone check:
                table.AddRow(new Text("(" + check.Name + ")"), Colored(check.Good ? Words.Of(check) : "not good", check.Good), new Text(check.Words));
                break;
            case ChannelStarted started when rows.TryGetValue(started.Channel.Name, out var known):
                table.UpdateCell(known, 1, new Text("... again"));
                break;
            case ChannelStarted started:
                rows[started.Channel.Name] = table.Rows.Count;
                table.AddRow(new Text(started.Channel.Name), new Text("..."), new Text(""));
                break;
            case ChannelJudged judged:
                // After several rounds those are told, too, that were never begun.
                if (!rows.TryGetValue(judged.Result.Channel.Name, out var row))
                    break;
                table.UpdateCell(row, 1, Colored(Words.Of(judged.Result.Condition), judged.Result.Condition == Condition.Working));
                table.UpdateCell(row, 2, new Text(judged.Result.Summary));
                break;
            case RoundDone round:
                foreach (var result in round.Results)
                {
                    table.UpdateCell(rows[result.Channel.Name], 1, Colored(Words.Of(result.Condition), result.Condition == Condition.Working));
                    table.UpdateCell(rows[result.Channel.Name], 2, new Text($"repeat {round.Number} of {round.Of}"));
                }
                break;
            case ExercisedAgain again:
                table.AddRow(new Text("(again)"), new Text("alone"), new Text(AgainWords(again)));
                break;
            default:
                break;
        }
    }

    private static string AgainWords(ExercisedAgain again) =>
        $"{string.Join(", ", again.Channels.Select(channel => channel.Name))}: not all of them worked together, so each is exercised alone.";

    private static Text Colored(string word, bool good) => new(word, good ? Style.Plain : new Style(decoration: Decoration.Bold | Decoration.Invert));
}
