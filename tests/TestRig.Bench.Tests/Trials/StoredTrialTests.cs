using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;
using TestRig.Core.Trials;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Trials;

/// <summary>A trial is told again from the store alone: each time through a store that was opened anew, and by nothing but the texts that are in it.</summary>
public sealed class StoredTrialTests : IAsyncDisposable
{
    private static readonly string[] _contents = ["2=ctr:0.2x", "4=leakage:1uA,slow:3x", "5=dead", "6=empty", "7=type:4N35"];

    private readonly string _place = Path.Combine(TestFolders.Create().FullName, "runs.db");

    private IRunStore? _store;

    public async ValueTask DisposeAsync()
    {
        if (_store is not null)
            await _store.DisposeAsync();
    }

    private async Task<IRunStore> OpenAsync()
    {
        if (_store is not null)
            await _store.DisposeAsync();
        return _store = await RunStores.OpenAsync(_place, CancellationToken.None);
    }

    private async Task<TrialResult> ReadAsync()
    {
        var store = await OpenAsync();
        var run = (await store.FindAsync("batch", CancellationToken.None))!;
        var loaded = ProfileLoader.Load(run.Heading.Profile);
        return (await StoredTrial.ReadAsync(store, run, loaded.Board!, loaded.Library, CancellationToken.None))!;
    }

    private static string Record(TrialResult result) => TrialJson.Write(result, "batch", "p.yaml", BoardRecord.None);

    private static string Page(TrialResult result) => TrialPage.Write(result, "p.yaml", BoardRecord.None);

    [Theory]
    [InlineData(null)]
    [InlineData("CNY17-3")]
    public async Task A_finished_batch_is_the_same_record_and_the_same_page_again(string? type)
    {
        var trial = await SomeTrial.OfAsync(8, _contents, skipped: 3, type, await OpenAsync());
        var result = trial.Result();
        await trial.Kept!.FinishAsync(result, SomeTrial.Started.AddHours(1), Record(result), CancellationToken.None);
        var again = await ReadAsync();
        Assert.Equal(Record(result), Record(again));
        Assert.Equal(Page(result), Page(again));
        Assert.Equal((type ?? "4N25", 7, 3), (again.Claimed.Name, again.Batch.Parts.Length, Assert.Single(again.Skipped)));
        Assert.Contains(TrialVerdict.Violates, again.Batch.Parts.Select(part => part.Verdict));
    }

    [Fact]
    public async Task Suspicions_need_no_part_library_but_the_store()
    {
        var trial = await SomeTrial.OfAsync(2, _contents, store: await OpenAsync());
        Assert.DoesNotContain("4N27", trial.Source.Text, StringComparison.Ordinal);
        Assert.Contains("all figures fit 4N27", Assert.Single((await ReadAsync()).Batch.Parts[1].Suspicions), StringComparison.Ordinal);
    }

    /// <summary>Each part is stored before the next one comes: after a kill all are there that were told.</summary>
    [Fact]
    public async Task A_batch_that_nobody_ended_has_every_part_and_says_so()
    {
        var trial = await SomeTrial.OfAsync(4, _contents, store: await OpenAsync());
        var again = await ReadAsync();
        Assert.Equal("Ended by nobody: a crash, a power cut, or it still runs.", again.Ending);
        Assert.True(again.IsIncomplete);
        Assert.Equal(Record(trial.Result(again.Ending)), Record(again));
    }

    [Fact]
    public async Task Why_a_batch_ended_early_is_told_again()
    {
        var trial = await SomeTrial.OfAsync(1, [], store: await OpenAsync());
        await trial.Kept!.FinishAsync(trial.Result("Cancelled."), SomeTrial.Started.AddHours(1), "{}", CancellationToken.None);
        Assert.Equal("Cancelled.", (await ReadAsync()).Ending);
    }

    [Fact]
    public async Task Parts_that_violate_a_limit_are_counted()
    {
        await SomeTrial.OfAsync(3, _contents, store: await OpenAsync());
        var run = Assert.Single(await (await OpenAsync()).ListAsync(new(Kind: RunKind.Trial), CancellationToken.None));
        Assert.Equal((3, 1), (run.Cycles, run.FailedCycles));
    }

    [Fact]
    public async Task A_trial_whose_options_are_of_something_else_is_refused_in_words()
    {
        var store = await OpenAsync();
        var trial = await SomeTrial.OfAsync(1, []);
        await store.BeginAsync(new("batch", RunKind.Trial, "Socket", trial.Source, Core.Scheduling.ExerciseMode.LogicOnly, SomeTrial.Started, "{}", "0.1.0"), CancellationToken.None);
        await store.OpenSessionAsync("batch", new(SomeTrial.Started, "{}", "bench", 1), CancellationToken.None);
        Assert.Contains("What run batch tried cannot be read", (await Assert.ThrowsAsync<RunStorageException>(ReadAsync)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_trial_that_was_killed_before_its_adapter_was_at_work_is_none()
    {
        var store = await OpenAsync();
        var loaded = (await SomeTrial.OfAsync(1, [])).Source;
        await store.BeginAsync(new("batch", RunKind.Trial, "Socket", loaded, Core.Scheduling.ExerciseMode.LogicOnly, SomeTrial.Started, "{}", "0.1.0"), CancellationToken.None);
        var profile = ProfileLoader.Load(loaded);
        Assert.Null(await StoredTrial.ReadAsync(store, (await store.FindAsync("batch", CancellationToken.None))!, profile.Board!, profile.Library, CancellationToken.None));
    }
}
