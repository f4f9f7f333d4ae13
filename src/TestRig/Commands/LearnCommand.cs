using System.Collections.Immutable;
using System.CommandLine;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Learning;
using TestRig.Core.Boards;
using TestRig.Core.Learning;
using TestRig.Core.Scheduling;
using TestRig.Core.Statistics;

namespace TestRig.Commands;

/// <summary>testrig learn PROFILE: windows from a good board, proposed as a change of its profile. testrig learn --draft POINTS: a profile of a board that has none.</summary>
internal static class LearnCommand
{
    private const int UsualRepeats = 30;

    public static Command Create()
    {
        var profile = new Argument<FileInfo?>("PROFILE")
        {
            Description = "The board's profile (YAML). With --draft only for the simulated bench: the board that it is to be; the draft does not see it.",
            Arity = ArgumentArity.ZeroOrOne,
        };
        var draft = new Option<FileInfo?>("--draft") { Description = "A board without a profile: draft one from brief pulses on the lines that this file names with the clipped points.", HelpName = "POINTS" };
        var repeat = NumberOption.Create(
            "--repeat", $"Every channel so often, one round after another. By default {UsualRepeats}, of a draft {DraftCommand.UsualRepeats} pulses on each line; with --allow-motion the machine moves as often.", least: 2);
        var from = new Option<string?>("--channel") { Description = "Learn from this channel alone; by default from every channel, each for itself.", HelpName = "CHANNEL" };
        var target = new Option<string?>("--for") { Description = "The windows are for this channel, which is built like the one of --channel.", HelpName = "CHANNEL" };
        var coverage = ShareOption.Create("--coverage", "The share of all delays that a window is to hold.", 0.99);
        var confidence = ShareOption.Create("--confidence", "With what confidence it holds that share.", 0.95);
        var write = new Option<string?>("--write") { Description = "Write the new profile to this file; without it nothing is written.", HelpName = "FILE" };
        var force = new Option<bool>("--force") { Description = "--write may replace a file, the profile itself too." };
        var json = JsonOption.Create("what was learned");
        var adapter = AdapterOption.Create();
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var command = new Command("learn", "Propose delay windows from a good board, as a change of its profile to review; or draft a profile of a board that has none.")
        {
            profile, draft, repeat, from, target, coverage, confidence, write, force, json, adapter, motion, motorOff, noStop,
        };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.Validators.Add(result =>
        {
            var drafting = result.GetResult(draft) is not null;
            if (!drafting && result.GetValue(profile) is null)
                result.AddError("name the board's PROFILE; or, where it has none, the lines and clipped points with --draft.");
            foreach (var other in drafting ? (Option[])[from, target, coverage, confidence, motion, noStop] : [])
            {
                if (result.GetResult(other) is { Implicit: false })
                    result.AddError($"{other.Name} is not for a draft: {(other == motion ? "nobody knows yet what would move" : "leave it out")}.");
            }
        });
        command.SetAction((parsed, cancellation) => parsed.GetValue(draft) is { } points
            ? DraftCommand.RunAsync(
                new(
                    points, parsed.GetValue(profile), parsed.GetValue(write), parsed.GetValue(force), parsed.GetValue(json), parsed.GetValue(adapter), simulated.Read(parsed), parsed.GetValue(motorOff),
                    parsed.GetValue(repeat) ?? DraftCommand.UsualRepeats),
                cancellation)
            : RunAsync(
            new(
                parsed.GetValue(profile)!, parsed.GetValue(from), parsed.GetValue(target), new(parsed.GetValue(coverage), parsed.GetValue(confidence)),
                parsed.GetValue(write), parsed.GetValue(force), parsed.GetValue(json), parsed.GetValue(adapter), simulated.Read(parsed),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop))
                {
                    Repeats = parsed.GetValue(repeat) ?? UsualRepeats,
                }),
            cancellation));
        return command;
    }

    private sealed record Request(
        FileInfo Profile, string? From, string? Target, ToleranceAim Aim, string? Write, bool Force, string? Json, string? Adapter, SimulatedBench? Simulated, SweepOptions Options);

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        // Before anything is driven: what could not be written after half an hour of motion.
        OutputFile.Check(request.Write, request.Force);
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        var text = await File.ReadAllTextAsync(request.Profile.FullName, cancellation);
        var (from, target) = Channels(board, request.From, request.Target);
        var simulated = request.Simulated?.Build(board, request.Options.Mode);
        var screen = JsonOption.Screen(request.Json);
        var sweepView = new SweepView(screen);
        sweepView.Cautions(board, request.Options.Mode);
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation);
        sweepView.Start(board, adapter.Identity);

        var learning = new LearningSweep(board, adapter, request.Options, from, target, request.Aim);
        var (sweep, learned) = await learning.RunAsync(sweepView.PlainProgress(), cancellation);
        if (sweep.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", sweep.Ending.Words);
        sweepView.SayLink(sweep.Link, sweep.Ending);
        var proposal = sweep.Ending.Outcome == SweepOutcome.Complete ? Propose(request, text, learned, adapter.Identity, screen) : null;
        var written = proposal is { Difference.Length: > 0 } ? request.Write : null;
        await JsonOption.WriteAsync(request.Json, LearnJson.Write(sweep, request.Profile.ToString(), request.Aim, learned, proposal, written));
        return proposal is not null ? ExitCode.AllWorking
            : sweep.Ending.Outcome != SweepOutcome.Complete ? ExitCodeOf(sweep.Ending.Outcome)
            : sweep.AnyFaulty ? ExitCode.FaultsFound
            : ExitCode.Incomplete;
    }

    /// <summary>Shows the proposal and writes it where it is asked for; null where a channel is not good enough to learn from.</summary>
    private static WindowProposal? Propose(Request request, string text, ImmutableArray<LearnedChannel> learned, AdapterIdentity adapter, TextScreen screen)
    {
        screen.Say();
        var view = new LearnView(screen);
        var refused = learned.Where(channel => channel.Refusal is not null).ToList();
        if (refused.Count > 0)
        {
            foreach (var channel in refused)
                view.Refused(channel);
            screen.Say("Proposal ", "none: learn from a board, or with --channel from a channel, that works.");
            return null;
        }
        var proposal = WindowProposal.Of(text, request.Profile.ToString(), ProfileInput.PartLibrary, learned, adapter.IsSimulated ? "on a SIMULATED board" : $"with {adapter.Board}");
        if (!proposal.Errors.IsEmpty)
            throw new InvalidOperationException($"The proposed profile has errors: {string.Join(Environment.NewLine, proposal.Errors)}");
        view.Show(learned);
        if (request.Write is { } file && proposal.Difference.Length > 0)
            OutputFile.Write(file, proposal.Text);
        view.Show(proposal, request.Write);
        return proposal;
    }

    /// <exception cref="BadUsageException">There is no such channel, or the two are not built alike.</exception>
    private static (Channel? From, Channel? Target) Channels(Board board, string? from, string? target)
    {
        if (from is null && target is not null)
            throw new BadUsageException([$"--for {target} needs a channel to learn from: add --channel."]);
        var (measured, other) = (Find("--channel", from), Find("--for", target));
        return measured is not null && other is not null && WindowLearner.Difference(measured, other) is { } difference
            ? throw new BadUsageException([difference])
            : (measured, other);

        Channel? Find(string option, string? name) => name is null
            ? null
            : board.Channels.FirstOrDefault(channel => channel.Name == name)
                ?? throw new BadUsageException([$"{option} {name}: {board.Name} has no such channel. Its channels: {string.Join(", ", board.Channels.Select(known => known.Name))}."]);
    }

    public static int ExitCodeOf(SweepOutcome outcome) => outcome switch
    {
        SweepOutcome.AdapterFailed => ExitCode.Adapter,
        SweepOutcome.StoppedForSafety => ExitCode.Safety,
        _ => ExitCode.Incomplete,
    };
}
