using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Wiring;
using TestRig.Core.Boards;
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
        var inputs = NumberOption.Create("--inputs", "With only so many adapter inputs for the outputs in the channels' paths: which of them to wire, and how much that tells.", least: 1);
        var command = new Command("wiring", "List the leads to clip, in a safe order; check them through an adapter.") { profile, adapter, motorOff, folder, json, inputs };
        command.Validators.Add(result =>
        {
            if (result.GetResult(inputs) is not null && command.Options.Any(option => option != inputs && result.GetResult(option) is { Implicit: false }))
                result.AddError("--inputs chooses points and does nothing else: leave the other options out.");
        });
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(motorOff), parsed.GetValue(folder),
                parsed.GetValue(json), parsed.GetValue(inputs)),
            cancellation));
        return command;
    }

    private sealed record Request(FileInfo Profile, string? Adapter, SimulatedBench? Simulated, bool MotorIsOff, string? Folder, string? Json, int? Inputs);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        if (request.Inputs is { } inputs)
        {
            ShowChoice(TextScreen.OnOutput(), board, inputs);
            return ExitCode.AllWorking;
        }
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

    /// <summary>What the inputs are best wired to, and what one fewer and one more would tell.</summary>
    private static void ShowChoice(TextScreen screen, Board board, int inputs)
    {
        var choice = InputChoice.Of(board);
        screen.Say(board.Name);
        screen.Say(string.Create(CultureInfo.InvariantCulture, $"{choice.Points.Length} outputs in the channels' paths; leads of lines, supplies, controller and stop inputs stay beside them."));
        screen.Say();
        foreach (var count in Enumerable.Range(inputs - 1, 3).Where(count => count <= choice.Points.Length))
        {
            var chosen = choice.Choose(count);
            screen.Say(
                string.Create(CultureInfo.InvariantCulture, $"{(count == inputs ? "*" : " ")}{count,3} inputs  "),
                string.Create(CultureInfo.InvariantCulture, $"{chosen.EntropyLeft:0.00} bits unknown, {chosen.FaultsLeft:0.0} faults look alike on average: {(chosen.Points.IsEmpty ? "none" : string.Join(", ", chosen.Points))}"));
        }
        if (inputs > choice.Points.Length)
            screen.Say("More inputs than points: wire all.");
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
