using System.CommandLine;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Reporting;
using TestRig.Bench.Showing;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;

namespace TestRig.Commands;

/// <summary>testrig report RUN: the record of a run again, from the store alone.</summary>
internal static class ReportCommand
{
    public static Command Create()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var profile = new Option<FileInfo?>("--profile") { Description = "Judge by this profile; by default the run's own, as it was then.", HelpName = "PROFILE" };
        var folder = new Option<string?>("--out") { Description = "The folder to write; by default a new one of the run's name in 'runs'.", HelpName = "FOLDER" };
        var command = new Command("report", "Write the record of a run again: report, pictures, captures.") { run, profile, folder, store };
        command.SetAction((parsed, cancellation) => RunAsync(parsed.GetRequiredValue(run), parsed.GetValue(profile), parsed.GetValue(folder), parsed.GetValue(store), cancellation));
        return command;
    }

    private static async Task<int> RunAsync(string name, FileInfo? profile, string? exact, string? place, CancellationToken cancellation)
    {
        var font = PlotFont.Find();
        await using var store = await RunStores.OpenAsync(place, cancellation);
        var run = await RunArgument.FindAsync(store, name, cancellation);
        if ((profile is null ? ProfileInput.Load(run.Heading.Profile) : ProfileInput.Load(profile)) is not { } board)
            return ExitCode.BadUsage;
        if (run.Heading.Kind == RunKind.Trial)
            return await TrialAsync(store, run, profile, exact, cancellation);
        var path = profile?.ToString() ?? run.Heading.Profile.Path;
        var (screen, keeping) = (TextScreen.OnOutput(), new RecordKeeping());
        string verdict, contents;
        RunFolder folder;
        if (run.Heading.Kind == RunKind.Sweep)
        {
            var sweep = await StoredSweep.ReadAsync(store, run, board, BoardDiagnosis.Of, cancellation);
            folder = RunFolder.Create("runs", run.Heading.Id, exact);
            new RecordFolder(folder, font, keeping, BoardRecord.Of(run)).Write(sweep, path, InjectLine(run, sweep.Diagnosis.InjectAt, path));
            (verdict, contents) = (Words.Verdict(sweep), RecordFolder.OfSweep);
        }
        else
        {
            if (profile is not null)
                throw new BadUsageException([$"Run {name} is a soak: of most of its cycles only the figures are kept, which a changed profile cannot judge. Leave --profile out, or judge its kept captures: testrig runs judge {name} --profile {profile}."]);
            var soak = new StoredSoak(run, board, CapturedRun.WatchedIdle(run), BoardDiagnosis.Of);
            await soak.ReadAsync(store, cancellation);
            if (soak.Findings() is not { } findings)
                throw new BadUsageException([$"Run {name} never came to drive anything: there is nothing to report."]);
            folder = RunFolder.Create("runs", run.Heading.Id, exact);
            var ending = run.Ended is null ? SoakWords.EndOf(run.Sessions[^1]) : run.Sessions[^1].Words ?? "";
            new RecordFolder(folder, font, keeping, BoardRecord.Of(run)).Write(findings, SoakJson.Write(findings, ending: null, BoardRecord.Of(run)), ending == run.Verdict ? "" : ending, run.Sessions);
            (verdict, contents) = (SoakWords.Verdict(findings), RecordFolder.OfSoak);
        }
        screen.Say("Verdict  ", verdict);
        if (keeping.AllKept)
            screen.Say("Record   ", $"{SweepView.PathToShow(folder.Path)} ({contents.Replace(", run.log", "", StringComparison.Ordinal)})");
        keeping.Close();
        return ExitCode.AllWorking;
    }

    /// <exception cref="BadUsageException">It cannot be told so.</exception>
    private static async Task<int> TrialAsync(IRunStore store, StoredRun run, FileInfo? profile, string? exact, CancellationToken cancellation)
    {
        if (profile is not null)
            throw new BadUsageException([$"Run {run.Heading.Id} is a trial: its figures are those of the socket as it was, which a changed profile cannot measure again. Leave --profile out."]);
        var trial = await KeptTrial.ReadAsync(store, run, cancellation);
        var (screen, keeping) = (TextScreen.OnOutput(), new RecordKeeping());
        var folder = RunFolder.Create("runs", run.Heading.Id, exact);
        trial.WriteTo(folder, keeping);
        screen.Say("Verdict  ", TrialWords.Verdict(trial.Result));
        if (keeping.AllKept)
            screen.Say("Record   ", $"{SweepView.PathToShow(folder.Path)} ({KeptTrial.Files})");
        keeping.Close();
        return ExitCode.AllWorking;
    }

    /// <summary>Of the simulated bench nobody knows any more what was broken.</summary>
    private static string? InjectLine(StoredRun run, string? net, string profile) =>
        net is null || run.Heading.Simulated ? null : InjectCommand.LineOf(profile, net, adapter: null, simulated: null, new(run.Heading.Mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false));
}
