using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Simulation;
using TestRig.Core.Scheduling;

namespace TestRig.Commands;

/// <summary>testrig learn --draft POINTS: a profile of a board that has none, as far as pulses tell.</summary>
internal static class DraftCommand
{
    public const int UsualRepeats = 6;

    /// <param name="Points">The lines and the clipped points.</param>
    /// <param name="Profile">What the simulated bench is built from; null otherwise.</param>
    public sealed record Request(FileInfo Points, FileInfo? Profile, string? Write, bool Force, string? Json, string? Adapter, SimulatedBench? Simulated, bool MotorIsOff, int Repeats);

    public static async Task<int> RunAsync(Request request, CancellationToken cancellation)
    {
        OutputFile.Check(request.Write, request.Force);
        if (request.Profile is not null && request.Simulated is null)
            throw new BadUsageException(["A draft asks the board itself: leave the profile out. (With --adapter simulated it names the board that is simulated.)"]);
        if (request.Simulated is not null && request.Profile is null)
            throw new BadUsageException(["The simulated bench needs a board to simulate: name its profile, 'testrig learn PROFILE --draft POINTS --adapter simulated'. The draft does not see it."]);
        var (points, errors) = PointsReader.Read(request.Points.ToString(), ProfileInput.PartLibrary);
        foreach (var error in errors)
            await Console.Error.WriteLineAsync(error.ToString());
        if (points is null)
            return ExitCode.BadUsage;
        var simulated = Simulated(request);
        if (request.Simulated is not null && simulated is null)
            return ExitCode.BadUsage;

        var screen = JsonOption.Screen(request.Json);
        var sweepView = new SweepView(screen);
        sweepView.Cautions(points.Board, ExerciseMode.LogicOnly);
        var view = new DraftView(screen);
        view.Cautions();
        await using IAdapter adapter = simulated ?? await AdapterOption.OpenAsync(request.Adapter, AdapterPins.Of(points.Board), cancellation);
        view.Start(points, adapter.Identity);

        var run = new DraftRun(points, adapter, new(ExerciseMode.LogicOnly, request.MotorIsOff, NoStopInputAcknowledged: false), request.Repeats);
        var result = await run.RunAsync(view.Progress(sweepView), cancellation);
        if (result.Ending.Words.Length > 0)
            screen.Say("STOPPED  ", result.Ending.Words);
        sweepView.SayLink(result.Link, result.Ending);
        if (result.Findings is not { } findings)
        {
            await JsonOption.WriteAsync(request.Json, DraftJson.Write(result, request.Points.ToString(), adapter.Identity, request.Repeats, draft: null, isProfile: false, written: null));
            return LearnCommand.ExitCodeOf(result.Ending.Outcome);
        }

        view.Show(findings);
        var draft = new DraftProfile(points, findings, adapter.Identity.IsSimulated ? "on a SIMULATED board" : $"with {adapter.Identity.Board}", run.OnTime);
        var text = draft.Write();
        if (draft.HasChannel && ProfileLoader.LoadText(text, request.Write ?? request.Points.ToString(), ProfileInput.PartLibrary).Errors is { IsEmpty: false } wrong)
            throw new InvalidOperationException($"The draft has errors: {string.Join(Environment.NewLine, wrong)}");
        if (request.Write is { } file)
            OutputFile.Write(file, text);
        view.Show(draft.HasChannel, request.Write);
        await JsonOption.WriteAsync(request.Json, DraftJson.Write(result, request.Points.ToString(), adapter.Identity, request.Repeats, text, draft.HasChannel, request.Write));
        return ExitCode.AllWorking;
    }

    /// <summary>Null where a real adapter is wanted, or where the profile of the board to simulate has errors, which are then on standard error.</summary>
    private static SimulatedAdapter? Simulated(Request request) =>
        request.Simulated is { } bench && ProfileInput.Load(request.Profile!) is { } board ? bench.Build(board, ExerciseMode.LogicOnly) : null;
}
