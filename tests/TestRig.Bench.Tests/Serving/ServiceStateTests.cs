using System.Text;
using TestRig.Bench.Serving;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Serving;

public sealed class ServiceStateTests : IAsyncLifetime
{
    private static readonly DateTimeOffset _now = new(2026, 3, 1, 12, 0, 0, TimeSpan.FromHours(1));

    private static readonly JobRequest _sweep = new(JobKind.Sweep);

    private readonly string _folder = Path.Combine(TestFolders.CreateInMemory().FullName, "service");

    private ServiceState _state = null!;

    public async Task InitializeAsync() => _state = await ServiceState.OpenAsync(_folder, default);

    public async Task DisposeAsync() => await _state.DisposeAsync();

    [Fact]
    public async Task A_token_is_found_by_its_secret_while_it_is_valid()
    {
        var (token, secret) = AccessToken.Create("anna", AccessRights.Read | AccessRights.Drive, _now, _now.AddDays(1));
        Assert.True(await _state.AddAsync(token, default));
        Assert.Equal(("anna", AccessRights.Read | AccessRights.Drive, _now, _now.AddDays(1)), await _state.FindAsync(secret, _now, default) is { } found ? (found.Name, found.Rights, found.Created, found.Expires!.Value) : default);
        Assert.NotNull(await _state.FindNamedAsync("anna", _now, default));
        Assert.Null(await _state.FindAsync(secret, _now.AddDays(1), default));
        Assert.Null(await _state.FindNamedAsync("anna", _now.AddDays(1), default));
        foreach (var wrong in (string[])["", "anna", secret + "x", secret[..^1], secret.ToUpperInvariant(), " " + secret, Convert.ToHexString(token.Hash.Span), "' or 1=1 --"])
            Assert.Null(await _state.FindAsync(wrong, _now, default));
    }

    [Fact]
    public async Task A_revoked_token_is_refused_and_keeps_the_time_when_that_was_first_said()
    {
        var (token, secret) = AccessToken.Create("anna", AccessRights.Read, _now, null);
        await _state.AddAsync(token, default);
        Assert.True(await _state.RevokeAsync("anna", _now.AddHours(1), default));
        Assert.True(await _state.RevokeAsync("anna", _now.AddHours(2), default));
        Assert.Null(await _state.FindAsync(secret, _now, default));
        Assert.Null(await _state.FindNamedAsync("anna", _now, default));
        Assert.Equal(_now.AddHours(1), Assert.Single(await _state.TokensAsync(default)).Revoked);
        Assert.False(await _state.RevokeAsync("berta", _now, default));
    }

    [Fact]
    public async Task The_name_of_a_token_is_never_given_to_another()
    {
        var (first, secret) = AccessToken.Create("anna", AccessRights.Read, _now, null);
        var (second, other) = AccessToken.Create("anna", AccessRights.Drive, _now, null);
        Assert.True(await _state.AddAsync(first, default));
        Assert.False(await _state.AddAsync(second, default));
        await _state.RevokeAsync("anna", _now, default);
        Assert.False(await _state.AddAsync(second, default));
        Assert.Equal((null, null), (await _state.FindAsync(secret, _now, default), await _state.FindAsync(other, _now, default)));
        Assert.Equal(AccessRights.Read, Assert.Single(await _state.TokensAsync(default)).Rights);
    }

    [Fact]
    public async Task Nothing_of_a_secret_is_in_any_file()
    {
        var secrets = new List<string>();
        for (var number = 0; number < 20; number++)
        {
            var (token, secret) = AccessToken.Create($"token-{number}", AccessRights.Read, _now, null);
            await _state.AddAsync(token, default);
            await _state.FindAsync(secret, _now, default);
            secrets.Add(secret);
        }
        var files = Directory.GetFiles(_folder).Select(file => Encoding.Latin1.GetString(ReadShared(file))).ToList();
        // It would be seen: the names are there.
        Assert.Contains(files, content => content.Contains("token-19", StringComparison.Ordinal));
        // A third of a secret is enough to be told by.
        foreach (var part in secrets.SelectMany(secret => secret["testrig-".Length..].Chunk(14).Select(part => new string(part))).Where(part => part.Length == 14))
            Assert.DoesNotContain(files, content => content.Contains(part, StringComparison.Ordinal));
    }

    [Fact]
    public void The_folder_is_for_its_owner_alone()
    {
        if (!OperatingSystem.IsWindows())
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute, File.GetUnixFileMode(_folder));
    }

    [Fact]
    public async Task A_wish_is_one_job_however_often_it_is_sent()
    {
        var first = await AskAsync("one");
        Assert.Equal(AskOutcome.New, first.Outcome);
        Assert.Equal((AskOutcome.Known, first.Job!.Id), await AskAsync("one") is var again ? (again.Outcome, again.Job!.Id) : default);
        Assert.Equal((AskOutcome.KeyTaken, first.Job.Id), await AskAsync("one", request: _sweep with { Repeats = 2 }) is var other ? (other.Outcome, other.Job!.Id) : default);
        Assert.Equal(AskOutcome.KeyTaken, (await AskAsync("one", "tide")).Outcome);
        await _state.BeginAsync(first.Job.Id, _now, default);
        await _state.EndAsync(first.Job.Id, JobState.Done, "Good.", _now, default);
        Assert.Equal((AskOutcome.Known, JobState.Done), await AskAsync("one") is var late ? (late.Outcome, late.Job!.State) : default);
        Assert.Single(await _state.JobsAsync(null, null, 10, default));
    }

    /// <summary>Where asking is refused, what was asked for before is still answered with what became of it.</summary>
    [Fact]
    public async Task A_wish_is_known_by_its_key_and_content()
    {
        Assert.Null(await _state.FindWishAsync("one", "dome", _sweep, default));
        var job = (await AskAsync("one")).Job!;
        Assert.Equal((AskOutcome.Known, job.Id), await _state.FindWishAsync("one", "dome", _sweep, default) is { } known ? (known.Outcome, known.Job!.Id) : default);
        Assert.Equal(AskOutcome.KeyTaken, (await _state.FindWishAsync("one", "dome", _sweep with { Fast = true }, default))!.Outcome);
        Assert.Equal(AskOutcome.KeyTaken, (await _state.FindWishAsync("one", "tide", _sweep, default))!.Outcome);
        Assert.Null(await _state.FindWishAsync("two", "dome", _sweep, default));
    }

    [Fact]
    public async Task The_same_wish_from_many_at_the_same_time_is_one_job()
    {
        var asked = await Task.WhenAll(Enumerable.Range(0, 16).Select(_ => Task.Run(() => AskAsync("one"))));
        Assert.Single(asked, each => each.Outcome == AskOutcome.New);
        Assert.Equal(15, asked.Count(each => each.Outcome == AskOutcome.Known));
        Assert.Single(asked.Select(each => each.Job!.Id).Distinct());
    }

    [Fact]
    public async Task A_queue_has_an_end_and_what_was_known_before_is_known_still()
    {
        for (var number = 0; number < ServiceState.MostWaiting; number++)
            Assert.Equal(AskOutcome.New, (await AskAsync($"wish {number}")).Outcome);
        Assert.Equal(new(AskOutcome.QueueFull, null), await AskAsync("one more"));
        Assert.Equal(AskOutcome.Known, (await AskAsync("wish 3")).Outcome);
        // Another bench's is its own.
        Assert.Equal(AskOutcome.New, (await AskAsync("other", "tide")).Outcome);
        // What runs does not wait.
        await _state.BeginAsync((await _state.NextAsync("dome", default))!.Id, _now, default);
        Assert.Equal(AskOutcome.New, (await AskAsync("one more")).Outcome);
    }

    [Fact]
    public async Task A_wish_that_is_refused_is_in_the_record_and_never_begins()
    {
        var asked = await _state.AskAsync("schedule", "dome", _sweep, "schedule 20:00", _now, null, "Not armed.", default);
        Assert.Equal((JobState.Refused, "Not armed.", (DateTimeOffset?)_now), (asked.Job!.State, asked.Job.Words, asked.Job.Ended));
        Assert.Null(await _state.NextAsync("dome", default));
        Assert.False(await _state.BeginAsync(asked.Job.Id, _now, default));
    }

    [Fact]
    public async Task What_was_interrupted_goes_before_what_waits_and_then_it_is_first_come_first_served()
    {
        var jobs = new List<long>();
        foreach (var wish in (string[])["a", "b", "c"])
            jobs.Add((await AskAsync(wish)).Job!.Id);
        await AskAsync("elsewhere", "tide");
        await _state.BeginAsync(jobs[1], _now, default);
        Assert.Equal(1, await _state.InterruptRunningAsync(null, default));
        var turns = new List<long>();
        while (await _state.NextAsync("dome", default) is { } next)
        {
            Assert.True(await _state.BeginAsync(next.Id, _now, default));
            await _state.EndAsync(next.Id, JobState.Done, "", _now, default);
            turns.Add(next.Id);
        }
        Assert.Equal([jobs[1], jobs[0], jobs[2]], turns);
        Assert.Equal(0, await _state.InterruptRunningAsync(null, default));
    }

    /// <summary>Whoever stops a job that has its turn in the same moment: either it runs, or it is stopped, and both are told which.</summary>
    [Fact]
    public async Task Of_beginning_and_withdrawing_exactly_one_wins()
    {
        for (var number = 0; number < 60; number++)
        {
            var job = (await AskAsync($"wish {number}")).Job!.Id;
            using var together = new Barrier(2);
            var begin = Task.Run(() => Together(together, () => _state.BeginAsync(job, _now, default)));
            var withdraw = Task.Run(() => Together(together, () => _state.WithdrawAsync(job, JobState.Stopped, "Stopped by anna.", _now, default)));
            var (begun, withdrawn) = (await begin, await withdraw);
            Assert.NotEqual(begun, withdrawn);
            Assert.Equal(begun ? JobState.Running : JobState.Stopped, (await _state.FindJobAsync(job, default))!.State);
        }
    }

    [Fact]
    public async Task Two_that_begin_the_same_job_do_not_both_have_it()
    {
        var job = (await AskAsync("one")).Job!.Id;
        var begun = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => Task.Run(() => _state.BeginAsync(job, _now, default))));
        Assert.Single(begun, each => each);
    }

    [Fact]
    public async Task A_job_that_is_over_stays_as_it_ended()
    {
        var job = (await AskAsync("one")).Job!.Id;
        await _state.BeginAsync(job, _now, default);
        await _state.EndAsync(job, JobState.Done, "Good.", _now.AddHours(1), default);
        await _state.EndAsync(job, JobState.Failed, "Late.", _now.AddHours(2), default);
        Assert.False(await _state.WithdrawAsync(job, JobState.Stopped, "Late.", _now.AddHours(2), default));
        Assert.False(await _state.BeginAsync(job, _now.AddHours(2), default));
        Assert.Equal((JobState.Done, "Good.", (DateTimeOffset?)_now.AddHours(1)), await _state.FindJobAsync(job, default) is { } kept ? (kept.State, kept.Words, kept.Ended) : default);
    }

    [Fact]
    public async Task Everything_is_there_again_when_it_is_opened_again()
    {
        var (token, secret) = AccessToken.Create("anna", AccessRights.Drive, _now, _now.AddDays(9));
        await _state.AddAsync(token, default);
        var request = new JobRequest(JobKind.Soak, TimeSpan.FromHours(8)) { Motion = true, Fast = true, WatchIdle = true, StopAfterFailures = 3, Serial = "77-12 µ" };
        var asked = (await _state.AskAsync("one", "dome", request, "anna", _now, _now.AddMinutes(-5), null, default)).Job!;
        await _state.BeginAsync(asked.Id, _now.AddMinutes(1), default);
        await _state.NameRunAsync(asked.Id, "2026-03-01-1", default);
        var before = await _state.FindJobAsync(asked.Id, default);

        await _state.DisposeAsync();
        _state = await ServiceState.OpenAsync(_folder, default);

        Assert.Equal(before, await _state.FindJobAsync(asked.Id, default));
        Assert.Equal((request, "anna", _now, (DateTimeOffset?)_now.AddMinutes(-5), JobState.Running, "2026-03-01-1"), (before!.Request, before.By, before.Asked, before.ArmedAt, before.State, before.Run));
        Assert.Equal("anna", (await _state.FindAsync(secret, _now, default))!.Name);
        Assert.Equal(1, await _state.InterruptRunningAsync(null, default));
        Assert.Equal("2026-03-01-1", (await _state.NextAsync("dome", default))!.Run);
        // An interrupted job keeps the time when it first began.
        await _state.BeginAsync(asked.Id, _now.AddDays(1), default);
        Assert.Equal(_now.AddMinutes(1), (await _state.FindJobAsync(asked.Id, default))!.Begun);
    }

    [Fact]
    public async Task Jobs_are_listed_the_latest_first_and_in_pages()
    {
        for (var number = 0; number < 5; number++)
            await AskAsync($"wish {number}", number % 2 == 0 ? "dome" : "tide");
        var all = (await _state.JobsAsync(null, null, 10, default)).Select(job => job.Id).ToList();
        Assert.Equal(all.OrderDescending(), all);
        Assert.Equal(all[2..4], (await _state.JobsAsync(null, all[1], 2, default)).Select(job => job.Id));
        Assert.Equal([all[0], all[2], all[4]], (await _state.JobsAsync("dome", null, 10, default)).Select(job => job.Id));
        Assert.Equal([all[4], all[2], all[0]], (await _state.OpenJobsAsync("dome", default)).Select(job => job.Id));
    }

    private static async Task<bool> Together(Barrier barrier, Func<Task<bool>> work)
    {
        barrier.SignalAndWait();
        return await work();
    }

    private Task<JobAsked> AskAsync(string wish, string bench = "dome", JobRequest? request = null) => _state.AskAsync(wish, bench, request ?? _sweep, "anna", _now, _now, null, default);

    private static byte[] ReadShared(string file)
    {
        using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        var content = new byte[stream.Length];
        stream.ReadExactly(content);
        return content;
    }
}
