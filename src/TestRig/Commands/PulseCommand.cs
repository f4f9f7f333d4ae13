using System.CommandLine;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig pulse PROFILE LINE: one line over and over, while a person looks with other instruments.</summary>
internal static class PulseCommand
{
    private static readonly TimeSpan _keyPoll = TimeSpan.FromMilliseconds(50);

    public static Command Create()
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var line = new Argument<string>("LINE") { Description = "The line, by its name in the profile." };
        var on = Time("--on", "How long the line is on each time; timed by the adapter.", Duration.FromMilliseconds(100));
        var every = Time("--every", "From one pulse's start to the next one's.", Duration.FromMilliseconds(1000));
        var count = NumberOption.Create("--count", "Stop after so many pulses; by default at a key or Ctrl-C.", least: 1);
        var marker = new Option<string?>("--marker") { Description = "A free adapter pin that goes high with each pulse, to trigger another instrument.", HelpName = "PIN" };
        var adapter = AdapterOption.Create();
        var (motion, motorOff, noStop) = (DrivingOptions.AllowMotion(), DrivingOptions.MotorIsOff(), DrivingOptions.NoStopInput());
        var command = new Command("pulse", "Pulse one line over and over, until a key is pressed.")
        {
            profile, line, on, every, count, marker, adapter, motion, motorOff, noStop,
        };
        var simulated = new SimulatedBenchOptions(adapter);
        simulated.AddTo(command);
        command.SetAction((parsed, cancellation) => RunAsync(
            new(
                parsed.GetRequiredValue(profile), parsed.GetRequiredValue(line), parsed.GetValue(on), parsed.GetValue(every), parsed.GetValue(count),
                parsed.GetValue(marker), parsed.GetValue(adapter), simulated.Read(parsed),
                new(parsed.GetValue(motion) ? ExerciseMode.Motion : ExerciseMode.LogicOnly, parsed.GetValue(motorOff), parsed.GetValue(noStop))),
            cancellation));
        return command;
    }

    private sealed record Request(
        FileInfo Profile, string Line, Duration On, Duration Every, int? Count, string? Marker, string? Adapter, SimulatedBench? Simulated, SweepOptions Options);

    private static Option<Duration> Time(string name, string description, Duration usual)
    {
        return new(name)
        {
            Description = $"{description} By default {usual}.",
            HelpName = "TIME",
            DefaultValueFactory = _ => usual,
            CustomParser = result =>
            {
                if (QuantityText.Time(result.Tokens[0].Value, out var problem) is { } time)
                    return time;
                result.AddError($"{name}: {problem}.");
                return default;
            },
        };
    }

    private static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        if (ProfileInput.Load(request.Profile) is not { } board)
            return ExitCode.BadUsage;
        if (board.Lines.FirstOrDefault(candidate => candidate.Name == request.Line) is not { } line)
        {
            await Console.Error.WriteLineAsync(
                $"testrig: {board.Name} has no line '{request.Line}'. Its lines: {string.Join(", ", board.Lines.Select(known => known.Name))}.");
            return ExitCode.BadUsage;
        }

        var simulated = request.Simulated?.Build(board, request.Options.Mode);
        var screen = TextScreen.OnOutput();
        var view = new SweepView(screen);
        view.Cautions(board, request.Options.Mode);
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(board), cancellation);
        view.Start(board, adapter.Identity);
        var plan = new PulsePlan(line, request.On, request.Every, request.Count, request.Marker);
        using var told = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        var train = new PulseTrain(board, adapter, plan, request.Options, TimeProvider.System);
        var running = train.RunAsync(new Progress(screen, view, plan), told.Token);
        var watching = WatchKeysAsync(told, running);
        var result = await running;
        await watching;

        if (result.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", result.Ending.Words);
        view.SayLink(result.Link, result.Ending);
        var late = result.Late > 0 ? $"; {result.Late} came later than every {request.Every}: loading and fetching take their time" : "";
        screen.Say("Pulses   ", $"{Words.Simulated(adapter.Identity)}{result.Pulses} of {request.On} on '{line.Name}'{late}.");
        return result.Ending.Outcome switch
        {
            SweepOutcome.Complete => ExitCode.AllWorking,
            // Told to stop: that is how a train without a count ends.
            SweepOutcome.Cancelled => request.Count is null || result.Pulses == request.Count ? ExitCode.AllWorking : ExitCode.Incomplete,
            SweepOutcome.AdapterFailed => ExitCode.Adapter,
            SweepOutcome.StoppedForSafety => ExitCode.Safety,
            _ => ExitCode.Incomplete,
        };
    }

    /// <summary>A key ends the train. Without a keyboard (input from a file or a pipe) only the count or a signal does.</summary>
    private static async Task WatchKeysAsync(CancellationTokenSource told, Task running)
    {
        if (Console.IsInputRedirected)
            return;
        while (!running.IsCompleted && !told.IsCancellationRequested)
        {
            if (Console.KeyAvailable)
            {
                Console.ReadKey(intercept: true);
                await told.CancelAsync();
                return;
            }
            await Task.WhenAny(running, Task.Delay(_keyPoll));
        }
    }

    private sealed class Progress(TextScreen screen, SweepView view, PulsePlan plan) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            switch (value)
            {
                case CheckDone check:
                    view.Say(check);
                    break;
                case PulseDone { Number: 1 }:
                    screen.Say("pulsing  ", $"'{plan.Line.Name}' {plan.Line.Active.Word()} for {plan.On} every {plan.Every}{(plan.Marker is null ? "" : $", {plan.Marker} high meanwhile")}{(Console.IsInputRedirected ? "; Ctrl-C ends it" : "; a key ends it")}.");
                    break;
                default:
                    break;
            }
        }
    }
}
