using System.CommandLine;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Probing;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig probe PROFILE: one channel, and one lead that goes where the program says.</summary>
internal static class ProbeCommand
{
    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var channel = new Option<string?>("--channel") { Description = "The channel, by its name in the profile; needed where there are several.", HelpName = "CHANNEL" };
        var adapter = AdapterOption.Create();
        var lead = new Option<string?>("--lead") { Description = "The adapter pin of the roving lead; by default the first that is free, one that reads voltages where there is one.", HelpName = "PIN" };
        var divider = QuantityOption.Create<Divider?>(
            "--divider",
            "The divider that you put into the roving lead for points that go higher than the adapter takes, upper and lower resistor: 100k/47k. By default that of the point in the profile.", "UPPER/LOWER", QuantityText.Divider);
        var script = new Option<FileInfo?>("--script") { Description = "Answers instead of the keyboard: one line for each question, empty for Enter (touched), s (skip) or q (quit).", HelpName = "FILE" };
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var json = JsonOption.Create("the record of every step");
        var command = new Command("probe", "Find what is wrong in one channel with one lead that goes from point to point, where it tells most.")
        {
            profile, channel, adapter, lead, divider, script, motion, motorOff, noStop, json,
        };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetValue(channel), parsed.GetValue(adapter), simulated.Read(parsed), new(parsed.GetValue(lead), parsed.GetValue(divider)), parsed.GetValue(script),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop)), parsed.GetValue(json)),
            cancellation));
        return command;
    }

    private sealed record Request(
        FileInfo Profile, string? Channel, string? Adapter, SimulatedBench? Simulated, ProbeLead Lead, FileInfo? Script, SweepOptions Options, string? Json);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        var channel = ChannelOf(board, request.Channel);
        var keys = ProbeKeys.From(request.Script, request.Simulated is not null);
        // What cannot be broken is told before anything else.
        _ = request.Simulated?.Build(board, request.Options.Mode);

        var screen = JsonOption.Screen(request.Json);
        var view = new SweepView(screen);
        view.Cautions(board, request.Options.Mode);
        await using var attached = request.Simulated is null ? await AdapterOption.OpenAsync(request.Adapter, Pins(board, request.Lead), cancellation) : null;
        var session = new ProbeSession(board, channel, request.Lead, leads => attached ?? request.Simulated!.Build(leads, request.Options.Mode), request.Options, TimeProvider.System);
        var person = new ProbeView(screen, view, channel, keys);
        var result = await session.RunAsync(person, cancellation);
        person.Finish(result);
        await JsonOption.WriteAsync(request.Json, ProbeJson.Write(result, request.Profile.ToString()));
        return ExitCodeOf(result);
    }

    private static string[] Pins(Board board, ProbeLead lead) => [.. AdapterPins.Of(board), .. lead.Pin is { } pin ? [pin] : Array.Empty<string>()];

    /// <exception cref="BadUsageException">There is no such channel, or several and none was named.</exception>
    private static Channel ChannelOf(Board board, string? name)
    {
        if (name is null && board.Channels is [var only])
            return only;
        var channels = string.Join(", ", board.Channels.Select(channel => channel.Name));
        return board.Channels.FirstOrDefault(channel => channel.Name == name)
            ?? throw new BadUsageException([name is null ? $"Say which channel with --channel: {channels}." : $"{board.Name} has no channel '{name}'. Its channels: {channels}."]);
    }

    private static int ExitCodeOf(ProbeResult result) => result.Ending.Outcome switch
    {
        SweepOutcome.AdapterFailed => ExitCode.Adapter,
        SweepOutcome.StoppedForSafety => ExitCode.Safety,
        _ when result.Outcome == ProbeOutcome.FaultFound => ExitCode.FaultsFound,
        _ when result.Outcome == ProbeOutcome.NothingWrong => ExitCode.AllWorking,
        _ => ExitCode.Incomplete,
    };
}
