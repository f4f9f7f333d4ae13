using System.CommandLine;
using TestRig.Bench.Exercising;
using TestRig.Bench.Injecting;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig inject PROFILE --at NET: a channel driven from one of its nets on, through a transistor that pulls the net low.</summary>
internal static class InjectCommand
{
    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var net = new Option<string>("--at") { Description = "The net that is pulled low, by the output that drives it, e.g. OK3.5.", HelpName = "NET", Required = true };
        var pin = new Option<string?>("--pin") { Description = "The adapter pin of the transistor; by default the first free one that can drive a line.", HelpName = "ADAPTER-PIN" };
        var adapter = AdapterOption.Create();
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var json = JsonOption.Create("what was found");
        var command = new Command("inject", "Pull a net in the path of a channel low through a transistor: what follows proves everything behind it.") { profile, net, pin, adapter, motion, motorOff, noStop, json };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetRequiredValue(net), parsed.GetValue(pin), parsed.GetValue(adapter), simulated.Read(parsed),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop)), parsed.GetValue(json)),
            cancellation));
        return command;
    }

    /// <summary>The command as a person types it, on the bench of another command.</summary>
    public static string LineOf(string profile, string net, string? adapter, SimulatedBench? simulated, SweepOptions options)
    {
        string[] bench = simulated is null ? (adapter is null ? [] : ["--adapter", adapter])
            : [.. simulated.Faults.Count == 0 ? (string[])["--adapter", AdapterOption.Simulated] : [], .. simulated.Faults.SelectMany(fault => new[] { "--fault", fault }), .. simulated.SeedOption];
        string[] words = ["testrig", "inject", profile, "--at", net, .. bench, .. options.MotorOffConfirmed ? (string[])["--motor-is-off"] : []];
        return string.Join(' ', words.Select(word => word.Contains(' ', StringComparison.Ordinal) ? $"'{word}'" : word));
    }

    private sealed record Request(FileInfo Profile, string Net, string? Pin, string? Adapter, SimulatedBench? Simulated, SweepOptions Options, string? Json);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        var (found, problem) = InjectionNet.Of(board, request.Net);
        if (found is not { } injection)
            throw new BadUsageException([problem!]);
        // What cannot be broken is told before anything else.
        _ = request.Simulated?.Build(board, request.Options.Mode);

        var screen = JsonOption.Screen(request.Json);
        var view = new InjectView(screen, new SweepView(screen), board, injection);
        view.Cautions(request.Options.Mode);
        string[] pins = [.. AdapterPins.Of(board), .. request.Pin is { } named ? [named] : Array.Empty<string>()];
        await using var attached = request.Simulated is null ? await AdapterOption.OpenAsync(request.Adapter, pins, cancellation) : null;
        var run = new InjectionRun(board, injection, request.Pin, bench => attached ?? request.Simulated!.Build(bench, request.Options.Mode), request.Options, TimeProvider.System);
        var result = await run.RunAsync((identity, used) => view.Begin(identity, used, request.Options.Mode == ExerciseMode.Motion ? injection.Channel.UndoneBy : null), view.Progress, cancellation);
        view.Finish(result);
        await JsonOption.WriteAsync(request.Json, InjectionJson.Write(result, request.Profile.ToString()));
        return ExitCodeOf(result);
    }

    private static int ExitCodeOf(InjectionResult result) => result.Ending.Outcome switch
    {
        SweepOutcome.AdapterFailed => ExitCode.Adapter,
        SweepOutcome.StoppedForSafety => ExitCode.Safety,
        _ when result.Outcome == InjectionOutcome.FaultBehind => ExitCode.FaultsFound,
        _ when result.Outcome == InjectionOutcome.BehindWorks => ExitCode.AllWorking,
        _ => ExitCode.Incomplete,
    };
}
