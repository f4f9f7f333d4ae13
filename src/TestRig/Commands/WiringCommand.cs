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
        var command = new Command("wiring", "List the leads to clip, in a safe order; check them through an adapter.") { profile, adapter, motorOff, folder, json };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(motorOff), parsed.GetValue(folder),
                parsed.GetValue(json)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Adapter, SimulatedBench? Simulated, bool MotorIsOff, string? Folder, string? Json);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        var plan = WiringPlan.Of(board);
        var screen = JsonOption.Screen(request.Json);
        if (request.Folder is { } folder)
            WholeFile.Write(Path.Combine(folder, "wiring.html"), WiringPage.Write(plan, request.Profile.ToString()));

        if (request.Adapter is null && request.Simulated is null)
        {
            Show(screen, plan, WiringList.Lines(plan));
            SayPage(screen, request);
            await JsonOption.WriteAsync(request.Json, WiringJson.Write(plan, request.Profile.ToString(), null, null)).ConfigureAwait(false);
            return ExitCode.AllWorking;
        }

        var simulated = request.Simulated?.Build(board, ExerciseMode.LogicOnly);
        var view = new SweepView(screen);
        view.Cautions(board, ExerciseMode.LogicOnly);
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation).ConfigureAwait(false);
        view.Start(board, adapter.Identity);
        var check = await new LeadCheck(board, adapter, request.MotorIsOff).RunAsync(new Progress(view), cancellation).ConfigureAwait(false);
        screen.Say();
        Show(screen, plan, WiringList.Found(plan, check.Leads.ToImmutableDictionary(lead => lead.Key, lead => $"{Mark(lead.Value.State)}: {lead.Value.Words}")));
        screen.Say();
        if (check.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", check.Ending.Words);
        screen.Say("Verdict  ", Words.Simulated(adapter.Identity) + Verdict(check));
        SayPage(screen, request);
        await JsonOption.WriteAsync(request.Json, WiringJson.Write(plan, request.Profile.ToString(), adapter.Identity, check)).ConfigureAwait(false);
        return ExitCodeOf(check);
    }

    private static void Show(TextScreen screen, WiringPlan plan, IEnumerable<string> lines)
    {
        screen.Say(plan.Board.Name);
        screen.Say($"{plan.Leads.Count()} leads, {plan.Grounds.Length} ground {(plan.Grounds.Length == 1 ? "clip" : "clips")}");
        screen.Say();
        foreach (var line in lines)
            screen.Say(line);
    }

    private static void SayPage(TextScreen screen, Request request)
    {
        if (request.Folder is { } folder)
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
        var parts = new List<string> { $"{Count(FoundState.Whole)} of {check.Leads.Count} leads good" };
        if (Count(FoundState.Open) is > 0 and var open)
            parts.Add($"{open} open");
        if (Count(FoundState.Wrong) is > 0 and var wrong)
            parts.Add($"{wrong} not as they should be");
        if (Count(FoundState.NotTold) is > 0 and var untold)
            parts.Add($"{untold} cannot be told without a command");
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

    private sealed class Progress(SweepView view) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is CheckDone check)
                view.Say(check);
        }
    }
}
