using System.CommandLine;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>testrig history BOARD: what was found and done on a board over the years.</summary>
internal static class HistoryCommand
{
    public static Command Create()
    {
        var board = new Argument<string>("BOARD") { Description = "The board's serial number, or a part of its name." };
        var (store, json) = (StoreOption.Create(), JsonOption.Create("the history"));
        var command = new Command("history", "Tell a board's story: its runs, what failed, what was noted and replaced, the earliest first.") { board, json, store };
        command.SetAction((parsed, cancellation) => RunAsync(parsed.GetRequiredValue(board).Trim(), parsed.GetValue(json), parsed.GetValue(store), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(string wanted, string? json, string? place, CancellationToken cancellation)
    {
        await using var store = await RunStores.OpenAsync(place, cancellation);
        var runs = await store.ListAsync(new(Serial: wanted), cancellation);
        if (runs.Count == 0)
            runs = await store.ListAsync(new(Board: wanted), cancellation);
        if (runs.Count == 0)
            throw new BadUsageException([$"No run in {store.Place} is of a board with the serial number '{wanted}', or with that in its name. See 'testrig runs list'."]);
        var past = new List<PastRun>();
        foreach (var run in runs)
            past.Add(new(run, [.. await store.FailuresAsync(run.Heading.Id, cancellation)]));
        var boards = BoardHistory.Of(past);
        var screen = JsonOption.Screen(json);
        foreach (var board in boards)
            Tell(screen, board);
        await JsonOption.WriteAsync(json, HistoryJson.Write(boards));
        return ExitCode.AllWorking;
    }

    private static void Tell(TextScreen screen, BoardHistory board)
    {
        screen.Say("Board    ", board.Serial is { } serial ? $"{board.Board}, serial number {serial}" : $"{board.Board}, serial number not on record: the runs may be of several");
        foreach (var (run, failures) in board.Runs)
        {
            screen.Say("Run      ", $"{Words.At(run.Heading.Started)} {RunWords.What(run)}: {RunWords.Found(run, failures)} ({(run.Heading.Simulated ? "SIMULATED, " : "")}{run.Heading.Id})");
            foreach (var note in run.Notes)
                screen.Say("  Note   ", NoteWords.Of(note));
        }
        foreach (var part in board.Replacements.GroupBy(replaced => replaced.Part.Part).OrderByDescending(part => part.Count()).ThenBy(part => part.Key, StringComparer.Ordinal))
            screen.Say("Replaced ", $"{part.Key}, {(part.Count() == 1 ? "once" : $"{SoakWords.Number(part.Count())} times")}: {string.Join("; ", part.Select(each => $"{Words.At(each.Note.At)}{(each.Part.With.Length > 0 ? $" with {each.Part.With}" : "")}"))}");
        screen.Say();
    }
}
