using System.CommandLine;
using System.Globalization;
using Spectre.Console;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Core.Judging;

namespace TestRig.Commands;

/// <summary>testrig runs: what the store has, and what can be done with it.</summary>
internal static class RunsCommand
{
    public static Command Create() => new("runs", "List, judge again, export and delete the runs that the store keeps.") { List(), Show(), Judge(), Export(), CapturesCommand.Create(), Delete(), Schema() };

    private static Command Schema()
    {
        var kind = new Argument<RunKind>("KIND") { Description = "Of which record: sweep (run.json), soak (soak.json) or trial (trial.json)." };
        kind.AcceptOnlyFromAmong("sweep", "soak", "trial");
        var command = new Command("schema", "Print the JSON Schema of a record, for programs that read it.") { kind };
        command.SetAction(parsed => Console.Out.Write(parsed.GetRequiredValue(kind) switch
        {
            RunKind.Sweep => RunJson.Schema(),
            RunKind.Soak => SoakJson.Schema(),
            _ => TrialJson.Schema(),
        }));
        return command;
    }

    private static Command List()
    {
        var board = new Option<string?>("--board") { Description = "Only of boards with this in their name.", HelpName = "TEXT" };
        var kind = new Option<RunKind?>("--kind") { Description = "Only runs of this kind: sweep, soak or trial.", HelpName = "KIND" };
        kind.AcceptOnlyFromAmong("sweep", "soak", "trial");
        var serial = SerialOption.Create("Only of the board with this serial number.");
        var condition = ConditionOption();
        var failed = new Option<bool>("--failed") { Description = "Only with a failing cycle, or a part that violates a limit." };
        var since = QuantityOption.Create<TimeSpan?>("--since", "Only begun within this time, for example 7d.", "TIME", QuantityText.Span);
        var (store, json) = (StoreOption.Create(), JsonOption.Create("the list"));
        var command = new Command("list", "List the runs, the latest first.") { board, kind, serial, condition, failed, since, store, json };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var filter = new RunFilter(
                parsed.GetValue(board), parsed.GetValue(kind), parsed.GetValue(failed) ? true : null, parsed.GetValue(since) is { } span ? TimeProvider.System.GetLocalNow() - span : null,
                Serial: SerialOption.Read(parsed, serial), Condition: parsed.GetValue(condition));
            var found = await runs.ListAsync(filter, cancellation);
            var screen = JsonOption.Screen(parsed.GetValue(json));
            if (found.Count == 0)
                screen.Say($"No such runs in {runs.Place}.");
            else
                screen.Show(Table(found));
            await JsonOption.WriteAsync(parsed.GetValue(json), RunsJson.Write(found));
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static Option<Condition?> ConditionOption()
    {
        var condition = new Option<Condition?>("--condition")
        {
            Description = $"Only with a channel that was in this condition in some cycle: {string.Join(", ", KebabWord.All<Condition>())}.",
            HelpName = "CONDITION",
            CustomParser = result => result.Tokens is [var written] ? KebabWord.Read<Condition>(written.Value) : null,
        };
        condition.AcceptOnlyFromAmong([.. KebabWord.All<Condition>()]);
        return condition;
    }

    private static Table Table(IReadOnlyList<StoredRun> runs)
    {
        var table = new Table().Border(TableBorder.Simple);
        // In one column, so that in 80 columns a run's name is on one line, and can be copied.
        table.AddColumn("Run");
        table.AddColumn(new TableColumn("Cycles").RightAligned().NoWrap());
        table.AddColumn(new TableColumn("Failing").RightAligned().NoWrap());
        table.AddColumn(new TableColumn("Captures").RightAligned().NoWrap());
        table.AddColumn("State");
        foreach (var run in runs)
        {
            table.AddRow(
                new Text($"{run.Heading.Id}\n{run.Heading.Board}{(run.Serial is { } serial ? $", no. {serial}" : "")}{(run.Heading.Simulated ? " (SIMULATED)" : StoredSweep.IsOfRecording(run) ? " (recording)" : "")}, {Words.At(run.Heading.Started)}"),
                new Text(run.Heading.Kind == RunKind.Trial ? TrialWords.Parts(run.Cycles) : SoakWords.Number(run.Cycles)), new Text(SoakWords.Number(run.FailedCycles)), new Text(SoakWords.Bytes(run.Bytes)),
                new Text(RunWords.State(run)));
        }
        return table;
    }

    private static Command Show()
    {
        var (run, store, json) = (RunArgument.Create(), StoreOption.Create(), JsonOption.Create("what was found"));
        var command = new Command("show", "Say what a run found: its sessions, what failed and what explains it, what drifts.") { run, store, json };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var known = await RunArgument.FindAsync(runs, parsed.GetRequiredValue(run), cancellation);
            var screen = JsonOption.Screen(parsed.GetValue(json));
            if (known.Heading.Kind == RunKind.Trial)
                return await ShowTrialAsync(runs, known, screen, parsed.GetValue(json), cancellation);
            if (ProfileInput.Load(known.Heading.Profile) is not { } board)
                return ExitCode.BadUsage;
            var stored = new StoredSoak(known, board, CapturedRun.WatchedIdle(known), BoardDiagnosis.Of);
            await stored.ReadAsync(runs, cancellation);
            TellHeading(screen, known);
            var kept = await runs.KeptAsync(known.Heading.Id, cancellation);
            screen.Say("Captures ", kept.Count == 0 ? "none kept" : $"of {SoakWords.Cycles(kept.Count)}, {SoakWords.Bytes(kept.Sum(entry => entry.Bytes))}: {string.Join(", ", kept.GroupBy(entry => entry.Reason).Select(group => $"{Count(group.Count())} {RunWords.Of(group.Key)}"))}");
            var findings = stored.Findings();
            if (findings is not null)
                new FindingsView(screen, new SweepView(screen)).Tell(findings);
            screen.Say("Verdict  ", RunWords.Verdict(known));
            await JsonOption.WriteAsync(parsed.GetValue(json), await KeptRecord.ReadAsync(runs, known, findings, cancellation));
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static void TellHeading(TextScreen screen, StoredRun known)
    {
        screen.Say("Run      ", $"{known.Heading.Id}: {(known.Heading.Simulated ? "SIMULATED, " : StoredSweep.IsOfRecording(known) ? "recording, " : "")}{known.Heading.Board}{(known.Serial is { } serial ? $", serial number {serial}" : "")}, {Words.Of(known.Heading.Mode)}, testrig {known.Heading.Program}");
        foreach (var note in known.Notes)
            screen.Say("Note     ", NoteWords.Of(note));
        foreach (var session in known.Sessions)
            screen.Say("Session  ", $"{session.Number}: {At(session.Started)} to {(session.Last is { } last ? At(last) : "nothing finished")}, {SoakWords.EndOf(session)}");
    }

    /// <summary>The whole table again, judged anew from what was measured.</summary>
    private static async Task<int> ShowTrialAsync(IRunStore runs, StoredRun known, TextScreen screen, string? json, CancellationToken cancellation)
    {
        var trial = await KeptTrial.ReadAsync(runs, known, cancellation);
        TellHeading(screen, known);
        screen.Say("Type     ", $"{trial.Result.Claimed.Name}, {trial.Result.Claimed.Description}: what the parts were said to be.");
        screen.Say();
        var table = new TrialTable(screen);
        table.Head();
        foreach (var part in trial.Result.Batch.Parts)
            table.Tell(part);
        table.Conclude(trial.Result);
        await JsonOption.WriteAsync(json, trial.Record);
        return ExitCode.AllWorking;
    }

    private static Command Judge()
    {
        var (run, store, json) = (RunArgument.Create(), StoreOption.Create(), JsonOption.Create("the findings"));
        var profile = new Option<FileInfo?>("--profile") { Description = "Judge by this profile; by default the run's own, as it was then.", HelpName = "PROFILE" };
        var cycle = new Option<long?>("--cycle") { Description = "Only this cycle; by default every one whose captures are kept.", HelpName = "N" };
        var command = new Command("judge", "Judge the kept captures of a run again, by its own profile or a changed one.") { run, profile, cycle, store, json };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var known = await RunArgument.FindOfChannelsAsync(runs, parsed.GetRequiredValue(run), cancellation);
            var board = parsed.GetValue(profile) is { } changed ? ProfileInput.Load(changed) : ProfileInput.Load(known.Heading.Profile);
            if (board is null)
                return ExitCode.BadUsage;
            var screen = JsonOption.Screen(parsed.GetValue(json));
            var (faulty, incomplete) = (false, false);
            var judged = new List<(long Cycle, IReadOnlyList<ChannelResult> Channels)>();
            await foreach (var (kept, results) in KeptFindings.JudgeAsync(runs, known, board, parsed.GetValue(cycle), cancellation))
            {
                judged.Add((kept.Cycle, results));
                screen.Say("cycle    ", $"{SoakWords.Number(kept.Cycle)} ({RunWords.Of(kept.Reason)}): {Words.Conditions(results)}");
                foreach (var channel in results.Where(channel => channel.IsFaulty))
                    screen.Say("         ", $"{channel.Channel.Name}: {Words.Of(channel.Condition).ToUpperInvariant()}. {channel.Summary}");
                faulty |= results.Any(channel => channel.IsFaulty);
                incomplete |= results.Any(channel => channel.Condition == Condition.NotTested);
            }
            await JsonOption.WriteAsync(parsed.GetValue(json), RunsJson.Write(known.Heading.Id, judged));
            return faulty ? ExitCode.FaultsFound : incomplete ? ExitCode.Incomplete : ExitCode.AllWorking;
        });
        return command;
    }

    private static Command Export()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var to = new Option<FileInfo>("--to") { Description = "The file to write: its ending says how, .csv or .parquet. One row for each figure of each cycle, or part.", HelpName = "FILE", Required = true };
        to.Validators.Add(result =>
        {
            if (result.GetValueOrDefault<FileInfo>() is { } file && !RunExport.CanWrite(file.Name))
                result.AddError($"--to '{file}' is not understood: its ending says how it is written, .csv or .parquet.");
        });
        var command = new Command("export", "Write what a run measured as a table for other programs.") { run, to, store };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var known = await RunArgument.FindAsync(runs, parsed.GetRequiredValue(run), cancellation);
            var file = parsed.GetRequiredValue(to);
            var rows = known.Heading.Kind == RunKind.Trial
                ? await ExportTrialAsync(runs, known, file, cancellation)
                : await RunExport.WriteAsync(runs.CyclesAsync(known.Heading.Id, 1, cancellation), file.FullName, cancellation);
            if (rows is null)
                return ExitCode.BadUsage;
            TextScreen.OnOutput().Say("Export   ", $"{file}: {SoakWords.Number(rows.Value)} rows of {Length(known)}");
            return ExitCode.AllWorking;
        });
        return command;
    }

    /// <returns>Rows written; null when its profile cannot be used any more, which is told.</returns>
    private static async Task<long?> ExportTrialAsync(IRunStore runs, StoredRun known, FileInfo file, CancellationToken cancellation) =>
        ProfileInput.LoadWithLibrary(known.Heading.Profile) is var (board, _, library)
            ? await RunExport.WriteAsync(await runs.PartsAsync(known.Heading.Id, cancellation), StoredTrial.JudgeOf(known, board, library), file.FullName, cancellation)
            : null;

    /// <summary>"40 cycles", "6 parts".</summary>
    private static string Length(StoredRun run) => run.Heading.Kind == RunKind.Trial ? TrialWords.Parts(run.Cycles) : SoakWords.Cycles(run.Cycles);

    private static Command Delete()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var sure = new Option<bool>("--for-good") { Description = "Needed: what is deleted is gone." };
        var command = new Command("delete", "Delete a run with all that belongs to it.") { run, sure, store };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var known = await RunArgument.FindAsync(runs, parsed.GetRequiredValue(run), cancellation);
            var what = $"run {known.Heading.Id} of {known.Heading.Board}, begun {At(known.Heading.Started)}, with {Length(known)}, of which {SoakWords.Number(known.FailedCycles)} failed";
            if (!parsed.GetValue(sure))
                throw new BadUsageException([$"That would delete {what}. It cannot be undone: add --for-good when it is meant."]);
            await runs.DeleteAsync(known.Heading.Id, cancellation);
            TextScreen.OnOutput().Say("Deleted  ", $"{what}.");
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static string At(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd HH:mm:ss", CultureInfo.InvariantCulture);

    private static string Count(int number) => number.ToString(CultureInfo.InvariantCulture);
}
