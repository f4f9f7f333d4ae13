using System.Collections.Immutable;
using System.CommandLine;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Wiring;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig wiring PROFILE: the clip list; with an adapter, the check of the leads.</summary>
internal static class WiringCommand
{
    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var adapter = AdapterOption.Create("The leads are checked through it; without it, only the list is shown.");
        var motorOff = DrivingOptions.MotorIsOff();
        var folder = new Option<string?>("--out") { Description = "Also write the page to print, wiring.html, into this folder.", HelpName = "FOLDER" };
        var json = JsonOption.Create("the list, and what was found,");
        var pulses = new Option<bool>("--check") { Description = "Also command each line once, briefly, with the motor supply off: leads that are exchanged show only so." };
        var inputs = NumberOption.Create("--inputs", "With only so many adapter inputs for the outputs in the channels' paths: which of them tell most, and how to come to all of them in several passes with the fewest clips moved.", least: 1);
        var command = new Command("wiring", "List the leads to clip, in a safe order; check them through an adapter.") { profile, adapter, pulses, motorOff, folder, json, inputs };
        command.Validators.Add(result =>
        {
            if (result.GetResult(inputs) is not null && command.Options.Any(option => option != inputs && option != folder && option != json && result.GetResult(option) is { Implicit: false }))
                result.AddError("--inputs plans leads and looks at none: beside it there can be only --out and --json.");
        });
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(motorOff), parsed.GetValue(folder),
                parsed.GetValue(json), parsed.GetValue(inputs), parsed.GetValue(pulses)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Adapter, SimulatedBench? Simulated, bool MotorIsOff, string? Folder, string? Json, int? Inputs, bool Pulses);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        if (request.Inputs is { } inputs)
        {
            await FewInputs.ShowAsync(board, request.Profile.ToString(), inputs, request.Folder, request.Json);
            return ExitCode.AllWorking;
        }
        var plan = WiringPlan.Of(board);
        var screen = JsonOption.Screen(request.Json);
        if (request.Folder is { } folder)
            WholeFile.Write(Path.Combine(folder, "wiring.html"), WiringPage.Write(plan, request.Profile.ToString()));

        if (request.Adapter is null && request.Simulated is null && !request.Pulses)
        {
            Show(screen, plan, WiringList.Lines(plan));
            SayPage(screen, request.Folder);
            await JsonOption.WriteAsync(request.Json, WiringJson.Write(plan, request.Profile.ToString(), null, null));
            return ExitCode.AllWorking;
        }

        var simulated = request.Simulated?.Build(board, ExerciseMode.LogicOnly);
        var view = new SweepView(screen);
        view.Cautions(board, ExerciseMode.LogicOnly);
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation);
        view.Start(board, adapter.Identity);
        var check = await new LeadCheck(board, adapter, request.MotorIsOff).RunAsync(new Progress(view), cancellation);
        if (request.Pulses && check.Ending.Outcome == SweepOutcome.Complete)
            check = await new LeadPulses(board, adapter, request.MotorIsOff, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(check, new Pulsing(view), cancellation);
        screen.Say();
        Show(screen, plan, WiringList.Found(plan, check.Leads.ToImmutableDictionary(lead => lead.Key, lead => $"{Mark(lead.Value.State)}: {lead.Value.Words}")));
        screen.Say();
        foreach (var verdict in check.Pulses?.Verdicts ?? [])
            screen.Say("Found    ", verdict.Words);
        foreach (var alike in check.Pulses?.Alike ?? [])
            screen.Say("Not told ", $"{string.Join(", ", alike)}: the pulses do not tell their leads from each other.");
        if (check.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", check.Ending.Words);
        screen.Say("Verdict  ", Words.Simulated(adapter.Identity) + Verdict(check));
        SayPage(screen, request.Folder);
        await JsonOption.WriteAsync(request.Json, WiringJson.Write(plan, request.Profile.ToString(), adapter.Identity, check));
        return ExitCodeOf(check);
    }

    private static void Show(TextScreen screen, WiringPlan plan, IEnumerable<string> lines)
    {
        screen.Say(plan.Board.Name);
        screen.Say($"{Words.Count(plan.Leads.Count(), "lead")}, {Words.Count(plan.Grounds.Length, "ground clip")}");
        screen.Say();
        foreach (var line in lines)
            screen.Say(line);
    }

    /// <param name="folder">Null: no page was asked for.</param>
    internal static void SayPage(TextScreen screen, string? folder)
    {
        if (folder is not null)
            screen.Say("Page     ", $"{Path.Combine(folder, "wiring.html")}: print it from a browser.");
    }

    private static string Mark(FoundState state) => state switch
    {
        FoundState.Whole => "good",
        FoundState.Open => "OPEN",
        FoundState.Wrong => "WRONG",
        FoundState.NotTold => "not told",
        _ => "not checked",
    };

    private static string Verdict(LeadCheckResult check)
    {
        int Count(params FoundState[] states) => check.Leads.Values.Count(lead => states.Contains(lead.State));
        var parts = new List<string> { $"{Count(FoundState.Whole)} of {Words.Count(check.Leads.Count, "lead")} good" };
        if (Count(FoundState.Open) is > 0 and var open)
            parts.Add($"{open} open");
        if (Count(FoundState.Wrong) is > 0 and var wrong)
            parts.Add($"{wrong} not as they should be");
        if (Count(FoundState.NotTold) is > 0 and var untold)
            parts.Add($"{untold} cannot be told{(check.Pulses is null ? " without a command" : "")}");
        if (Count(FoundState.NotChecked) is > 0 and var unchecked_)
            parts.Add($"{unchecked_} not checked");
        return string.Join(", ", parts) + ".";
    }

    private static int ExitCodeOf(LeadCheckResult check) => check.Ending.Outcome switch
    {
        SweepOutcome.AdapterFailed => ExitCode.Adapter,
        SweepOutcome.StoppedForSafety => ExitCode.Safety,
        _ when check.AnyWrong => ExitCode.FaultsFound,
        _ when check.Incomplete => ExitCode.Incomplete,
        _ => ExitCode.AllWorking,
    };

    /// <summary>The checks were told of already, before the first pulse.</summary>
    private sealed class Pulsing(SweepView view) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is CheckDone { Name: LeadPulses.CheckName } check)
                view.Say(check);
        }
    }

    private sealed class Progress(SweepView view) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is CheckDone check)
                view.Say(check);
        }
    }
}
