using System.CommandLine;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Showing;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>testrig runs captures: what was captured, for other programs, from the store alone.</summary>
internal static class CapturesCommand
{
    public static Command Create()
    {
        var (run, store) = (RunArgument.Create(), StoreOption.Create());
        var channel = new Option<string?>("--channel") { Description = "Only this channel; by default all that were exercised.", HelpName = "CHANNEL" };
        var cycle = new Option<long?>("--cycle") { Description = "This cycle's; by default those of the first failing one whose captures are kept.", HelpName = "N" };
        var form = new Option<CaptureForm>("--form") { Description = "How: vcd (IEEE 1364 value change dump, the default), csv or parquet.", HelpName = "FORM", DefaultValueFactory = _ => CaptureForm.Vcd };
        form.AcceptOnlyFromAmong("vcd", "csv", "parquet");
        var folder = new Option<string?>("--out") { Description = "The folder to write; by default a new one of the run's name in 'exports'.", HelpName = "FOLDER" };
        var command = new Command("captures", "Write what was captured of each channel, for viewers and other programs.") { run, channel, cycle, form, folder, store };
        command.SetAction(async (parsed, cancellation) =>
        {
            await using var runs = await RunStores.OpenAsync(parsed.GetValue(store), cancellation);
            var known = await RunArgument.FindOfChannelsAsync(runs, parsed.GetRequiredValue(run), cancellation);
            if (ProfileInput.Load(known.Heading.Profile) is not { } board)
                return ExitCode.BadUsage;
            CapturedRun.CheckChannel(board, parsed.GetValue(channel));
            var drawn = await CapturedRun.ReadAsync(runs, known, board, parsed.GetValue(cycle), cancellation);
            var exercised = drawn.Exercised(parsed.GetValue(channel));
            var export = new CaptureExport(drawn.Sweep, ProgramVersion.Text);
            var target = RunFolder.Create("exports", known.Heading.Id, parsed.GetValue(folder));
            var screen = TextScreen.OnOutput();
            foreach (var result in exercised)
            {
                var file = RunFolder.CaptureOf(drawn.FileOf(result), parsed.GetValue(form));
                target.Write(file, await export.ToBytesAsync(result, parsed.GetValue(form), cancellation));
                screen.Say("Capture  ", SweepView.PathToShow(Path.Combine(target.Path, file)));
            }
            return ExitCode.AllWorking;
        });
        return command;
    }
}
