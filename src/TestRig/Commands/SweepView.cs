using Spectre.Console;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>Shows a sweep: a live table in a terminal, plain lines elsewhere. A condition is always a word; colour only repeats it.</summary>
internal sealed class SweepView
{
    private readonly IAnsiConsole _console;
    private readonly bool _live;

    private SweepView(IAnsiConsole console, bool live)
    {
        _console = console;
        _live = live;
    }

    public static SweepView Create(bool toError)
    {
        var redirected = toError ? Console.IsErrorRedirected : Console.IsOutputRedirected;
        var console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Out = new AnsiConsoleOutput(toError ? Console.Error : Console.Out),
            Ansi = redirected ? AnsiSupport.No : AnsiSupport.Detect,
        });
        // A file or a pipe has no width: lines are then not folded.
        if (redirected)
            console.Profile.Width = int.MaxValue;
        return new(console, !redirected && console.Profile.Capabilities.Ansi);
    }

    public void Cautions(Board board, ExerciseMode mode)
    {
        foreach (var caution in Bench.Reporting.Cautions.For(board, mode))
            Say($"CAUTION  {caution}");
        Say("");
    }

    public void Start(Board board, AdapterIdentity adapter)
    {
        Say($"Board    {board.Name}: {board.Channels.Length} channels");
        Say($"Adapter  {adapter.Board} at {adapter.Place}, firmware {adapter.Firmware}, resolution {adapter.Resolution}");
        Say("");
    }

    public async Task<SweepResult> FollowAsync(Func<IProgress<SweepEvent>, Task<SweepResult>> run)
    {
        if (!_live)
            return await run(new Progress(PlainLine)).ConfigureAwait(false);

        var table = new Table().Border(TableBorder.Simple).Expand();
        table.AddColumn(new TableColumn("Channel").NoWrap());
        table.AddColumn(new TableColumn("Condition").NoWrap());
        table.AddColumn("Seen");
        return await _console.Live(table).StartAsync(context => run(new Progress(step =>
        {
            AddRow(table, step);
            context.Refresh();
        }))).ConfigureAwait(false);
    }

    public void Finish(SweepResult result, RunFolder folder)
    {
        Say("");
        if (result.Ending.Words.Length > 0)
            Say($"STOPPED  {result.Ending.Words}");
        if (!result.Diagnosis.Suspects.IsEmpty)
        {
            Say("Suspects");
            foreach (var suspect in result.Diagnosis.Suspects)
                Say($"  {Bench.Reporting.Words.Percent(suspect.Belief)}  {string.Join(" or ", suspect.Group)}: {suspect.Mode} (explains {string.Join(", ", suspect.Explains)})");
            Say("What to do");
            foreach (var advice in result.Diagnosis.Advice)
                Say($"  {advice}");
        }
        if (result.Diagnosis.NextProbe is { } probe)
            Say($"  Next: {probe}");
        foreach (var channel in result.Diagnosis.Unexplained)
            Say($"  {channel}: no single fault of the profile explains what was seen; look at its picture.");
        Say(Bench.Reporting.Words.Verdict(result));
        Say($"Record   {Path.GetRelativePath(Environment.CurrentDirectory, folder.Path)} (run.json, run.log, waveforms)");
    }

    private void PlainLine(SweepEvent step)
    {
        switch (step)
        {
            case CheckDone check:
                Say($"check    {check.Name}: {(check.Good ? "good" : "NOT GOOD")}, {check.Words}");
                break;
            case ChannelJudged judged:
                Say($"channel  {judged.Result.Channel.Name}: {Bench.Reporting.Words.Of(judged.Result.Condition).ToUpperInvariant()}. {judged.Result.Summary}");
                break;
            default:
                break;
        }
    }

    private static void AddRow(Table table, SweepEvent step)
    {
        switch (step)
        {
            case CheckDone check:
                table.AddRow(new Text("(" + check.Name + ")"), Colored(check.Good ? "good" : "not good", check.Good), new Text(check.Words));
                break;
            case ChannelStarted started:
                table.AddRow(new Text(started.Channel.Name), new Text("..."), new Text(""));
                break;
            case ChannelJudged judged:
                table.UpdateCell(table.Rows.Count - 1, 1, Colored(Bench.Reporting.Words.Of(judged.Result.Condition), judged.Result.Condition == Condition.Working));
                table.UpdateCell(table.Rows.Count - 1, 2, new Text(judged.Result.Summary));
                break;
            default:
                break;
        }
    }

    private static Text Colored(string word, bool good) => new(word, good ? Style.Plain : new Style(decoration: Decoration.Bold | Decoration.Invert));

    private void Say(string line) => _console.Write(new Text(line + "\n"));

    /// <summary>Reports at once and in order, on the caller's thread.</summary>
    private sealed class Progress(Action<SweepEvent> show) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value) => show(value);
    }
}
