using System.CommandLine;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>testrig note RUN: what a technician puts on record of a run.</summary>
internal static class NoteCommand
{
    /// <summary>A page of writing; more belongs into a file.</summary>
    private const int Longest = 4000;

    public static Command Create()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var words = new Argument<string?>("WORDS") { Description = "What is to be known of it, in quotation marks. Without words, parts and serial number the run's notes are shown.", Arity = ArgumentArity.ZeroOrOne };
        var replaced = new Option<string[]>("--replaced") { Description = "A part that was replaced behind this run, and with what: OK3, or OK3='4N25, date code 2419'. May be given again.", HelpName = "PART[=WITH]", AllowMultipleArgumentsPerToken = false };
        var serial = SerialOption.Create("The board's serial number, where it was not given with the run, or was wrong.");
        var by = new Option<string?>("--by") { Description = "Who writes; by default your name on this computer.", HelpName = "NAME" };
        var command = new Command("note", "Put on record of a run what was seen, done and replaced; notes are added to, never changed.") { run, words, replaced, serial, by, store };
        command.SetAction((parsed, cancellation) => RunAsync(
            parsed.GetRequiredValue(run), parsed.GetValue(words)?.Trim() ?? "", parsed.GetValue(replaced) ?? [], SerialOption.Read(parsed, serial), parsed.GetValue(by)?.Trim(), parsed.GetValue(store), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(string name, string words, string[] replaced, string? serial, string? by, string? place, CancellationToken cancellation)
    {
        if (words.Length > Longest)
            throw new BadUsageException([$"A note has {Longest} characters at most, and this one has {words.Length}: keep it in a file, and note the file's name."]);
        await using var store = await RunStores.OpenAsync(place, cancellation);
        var run = await RunArgument.FindAsync(store, name, cancellation);
        var screen = TextScreen.OnOutput();
        if (words.Length == 0 && replaced.Length == 0 && serial is null)
        {
            Show(screen, run);
            return ExitCode.AllWorking;
        }
        if (ProfileInput.Load(run.Heading.Profile) is not { } board)
            return ExitCode.BadUsage;
        var note = new RunNote(TimeProvider.System.GetLocalNow(), by is { Length: > 0 } ? by : Environment.UserName, words, [.. replaced.Select(part => Replaced(part, board))], serial);
        await store.AddNoteAsync(name, note, cancellation);
        screen.Say("Note     ", NoteWords.Of(note));
        screen.Say("On record", $" with run {name}; 'testrig report {name}' writes its report again with it");
        return ExitCode.AllWorking;
    }

    /// <exception cref="BadUsageException">The board has no such part.</exception>
    private static ReplacedPart Replaced(string written, Board board)
    {
        var parts = written.Split('=', 2);
        var part = board.Parts.FirstOrDefault(known => string.Equals(known.Name, parts[0].Trim(), StringComparison.OrdinalIgnoreCase))
            ?? throw new BadUsageException([$"--replaced '{written}': the board has no part '{parts[0].Trim()}'; {NearestName.Suggest(parts[0].Trim(), board.Parts.Select(known => known.Name), "parts")}"]);
        return new(part.Name, parts.Length > 1 ? parts[1].Trim() : "");
    }

    private static void Show(TextScreen screen, StoredRun run)
    {
        screen.Say("Run      ", $"{run.Heading.Id}: {run.Heading.Board}{(run.Serial is { } serial ? $", serial number {serial}" : "")}");
        foreach (var note in run.Notes)
            screen.Say("Note     ", NoteWords.Of(note));
        if (run.Notes.IsEmpty)
            screen.Say("Note     ", "none yet");
    }
}
