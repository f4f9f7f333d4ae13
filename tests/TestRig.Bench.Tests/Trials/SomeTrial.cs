using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Trials;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Core.Trials;

namespace TestRig.Bench.Tests.Trials;

/// <summary>A batch in the simulated socket: measured, and kept in a store where that is wanted.</summary>
internal sealed class SomeTrial
{
    public static readonly DateTimeOffset Started = new(2026, 3, 12, 18, 0, 0, TimeSpan.FromHours(1));

    private SomeTrial(TrialJudge judge, ProfileSource source, AdapterIdentity adapter, Volts empty) => (Judge, Source, Adapter, Empty) = (judge, source, adapter, empty);

    public TrialJudge Judge { get; }

    /// <summary>As it is kept.</summary>
    public ProfileSource Source { get; }

    public AdapterIdentity Adapter { get; }

    public Volts Empty { get; }

    public List<TriedPart> Parts { get; } = [];

    public List<PartTrial> Judged { get; } = [];

    public StoredTrial? Kept { get; private set; }

    /// <param name="contents">"2=ctr:0.2x", for the parts that are not as good as new.</param>
    /// <param name="skipped">Number of the part that is passed over; 0 for none.</param>
    /// <param name="store">That gets each part, under the name "batch"; null for none.</param>
    public static async Task<SomeTrial> OfAsync(int parts, string[] contents, int skipped = 0, string? type = null, IRunStore? store = null)
    {
        var loaded = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", "isolator-socket.yaml"), Repository.PartsFolder);
        var claimed = type is null ? loaded.Board!.Socket!.Part.IsolatorType : (IsolatorType)loaded.Library.Types[type];
        var judge = TrialRun.JudgeOf(loaded.Board!, claimed, loaded.Library);
        var (socket, errors) = SimulatedSocket.Of(judge.Board, [], contents, loaded.Library);
        Assert.Empty(errors);
        var run = new TrialRun(judge, number => socket!.Build(number, seed: 1), TimeProvider.System, Serilog.Core.Logger.None);
        var (empty, problem) = await run.MeasureEmptyAsync(CancellationToken.None);
        Assert.Null(problem);
        var adapter = socket!.Build(0, seed: 1);
        var trial = new SomeTrial(judge, StoredTrial.SourceOf(loaded.Source!, loaded.Library, judge), adapter.Identity, empty);
        if (store is not null)
            trial.Kept = await StoredTrial.BeginAsync(store, new("batch", RunKind.Trial, judge.Board.Name, trial.Source, ExerciseMode.LogicOnly, Started, "", "0.1.0") { Simulated = true }, claimed, empty, adapter, CancellationToken.None);
        for (var number = 1; number <= parts; number++)
        {
            var (part, judged) = number == skipped ? (run.Skip(number), (PartTrial?)null) : await run.TryAsync(number, CancellationToken.None);
            trial.Parts.Add(part);
            if (judged is not null)
                trial.Judged.Add(judged);
            if (trial.Kept is not null)
                await trial.Kept.AppendAsync(part, judged, CancellationToken.None);
        }
        return trial;
    }

    public TrialResult Result(string ending = "") =>
        new(Judge.Board, Judge.Claimed, Adapter, Started, Empty, BatchTrial.Of([.. Judged]), [.. Parts.Where(part => part.Measured is null).Select(part => part.Number)], ending);
}
