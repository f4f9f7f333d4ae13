using System.Net;
using System.Text.Json;
using Microsoft.Data.Sqlite;

namespace TestRig.Tests.Service;

/// <summary>Jobs of a service in a process of its own: asked for, stopped, cut short and gone on with.</summary>
public sealed class JobTests
{
    [Fact]
    public async Task A_sweep_that_is_asked_for_finds_the_fault_and_is_a_run_of_the_store()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);

        var job = await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"sweep","serial":"77-12"}"""));

        Assert.Equal("done", job.GetProperty("state").GetString());
        Assert.Contains("5 of 6 channels working, 1 faulty", job.GetProperty("words").GetString(), StringComparison.Ordinal);
        Assert.Contains("77-12", ServiceRun.Command("runs", "show", job.GetProperty("run").GetString()!, "--store", Path.Combine(service.Folder, "runs.db")), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_same_wish_sent_again_is_the_same_job_and_another_wish_under_its_key_is_refused()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);

        using var first = await ServiceRun.AskAsync(client, """{"kind":"sweep"}""", key: "once");
        using var again = await ServiceRun.AskAsync(client, """{"kind":"sweep"}""", key: "once");
        using var other = await ServiceRun.AskAsync(client, """{"kind":"sweep","repeats":2}""", key: "once");

        Assert.Equal((HttpStatusCode.Created, HttpStatusCode.OK, HttpStatusCode.Conflict), (first.StatusCode, again.StatusCode, other.StatusCode));
        var jobs = await ServiceRun.WaitAsync(client, "/api/jobs", all => all.EnumerateArray().All(job => job.GetProperty("state").GetString() == "done"));
        Assert.Equal(1, jobs.GetArrayLength());
    }

    [Fact]
    public async Task A_soak_that_was_killed_with_the_service_goes_on_and_no_cycle_is_lost_or_twice()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        var job = await SoakingAsync(service, client);

        service.Kill();
        await GoesOnToItsEndAsync(service, client, job);
        Assert.Equal(2L, Single(service, "select count(*) from session"));
    }

    [Fact]
    public async Task A_service_that_is_ended_in_a_soak_leaves_lines_idle_and_goes_on_with_it_when_it_starts_again()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        var job = await SoakingAsync(service, client);

        Assert.Equal(0, service.End());
        Assert.Contains("The service ended.", (string)Value(Path.Combine(service.Folder, "service", "service.db"), "select words from job"), StringComparison.Ordinal);
        await GoesOnToItsEndAsync(service, client, job);
    }

    [Fact]
    public async Task A_soak_that_had_come_to_its_end_when_the_service_was_killed_is_done_and_nothing_is_driven_for_it()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);
        var job = await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":3}""");
        var before = await ServiceRun.WaitForEndAsync(client, job);
        service.Kill();
        // As it is between the end of the run in the store and that of the job.
        Execute(Path.Combine(service.Folder, "service", "service.db"), "update job set state = 'Running', ended_ticks = null, ended_offset = null, words = null");

        service.StartAgain();
        using var later = service.Client(client.DefaultRequestHeaders.Authorization!.Parameter);
        var after = await ServiceRun.WaitForEndAsync(later, job);

        Assert.Equal("done", after.GetProperty("state").GetString());
        Assert.Equal(before.GetProperty("words").GetString(), after.GetProperty("words").GetString());
        Assert.Equal(1L, Single(service, "select count(*) from session"));
    }

    [Fact]
    public async Task A_soak_is_stopped_at_once_and_its_run_is_gone_on_with_by_another_job()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);
        var job = await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":40}""");
        await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("soak", out _));

        using (var stopped = await client.PostAsync($"/api/jobs/{job}/stop", null))
            Assert.Equal(HttpStatusCode.OK, stopped.StatusCode);
        var ended = await ServiceRun.WaitForEndAsync(client, job);
        var run = ended.GetProperty("run").GetString()!;
        var goOn = await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, JsonSerializer.Serialize(new { kind = "soak", resume = run })));

        Assert.Equal("stopped", ended.GetProperty("state").GetString());
        Assert.Contains("Stopped by anna.", ended.GetProperty("words").GetString(), StringComparison.Ordinal);
        Assert.Equal(("done", run), (goOn.GetProperty("state").GetString(), goOn.GetProperty("run").GetString()));
        Assert.Equal(Enumerable.Range(1, 40).Select(number => (long)number), CyclesOf(service, goOn));
    }

    [Fact]
    public async Task Disarming_stops_what_runs_and_refuses_what_waits()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);
        var running = await ServiceRun.AskForAsync(client, """{"kind":"soak","for":"1h"}""");
        var waiting = await ServiceRun.AskForAsync(client, """{"kind":"sweep"}""");
        await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("soak", out _));

        ServiceRun.Command("disarm", service.Configuration, "dome");

        Assert.Equal("stopped", (await ServiceRun.WaitForEndAsync(client, running)).GetProperty("state").GetString());
        Assert.Equal("refused", (await ServiceRun.WaitForEndAsync(client, waiting)).GetProperty("state").GetString());
    }

    [Fact]
    public async Task A_bench_whose_profile_has_errors_says_so_and_the_other_benches_work()
    {
        using var service = ServiceRun.Start($"{ServiceRun.Dome}\n  broken: {{ adapter: simulated, profile: missing.yaml }}");
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);

        var broken = await ServiceRun.WaitAsync(client, "/api/benches/broken", now => now.TryGetProperty("problem", out _));
        var job = await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"sweep"}"""));

        Assert.Contains("missing.yaml", broken.GetProperty("problem").GetString(), StringComparison.Ordinal);
        Assert.Equal("done", job.GetProperty("state").GetString());
    }

    /// <returns>The number of a soak of 60 cycles that has done some of them.</returns>
    private static async Task<long> SoakingAsync(ServiceRun service, HttpClient client)
    {
        await service.ArmAsync(client);
        var job = await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":60}""");
        await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("soak", out var soak) && soak.GetProperty("cycles").GetInt64() is >= 5 and < 60);
        return job;
    }

    /// <summary>Starts the service again; every cycle is there once when its job is done.</summary>
    private static async Task GoesOnToItsEndAsync(ServiceRun service, HttpClient before, long job)
    {
        service.StartAgain();
        using var client = service.Client(before.DefaultRequestHeaders.Authorization!.Parameter);
        var ended = await ServiceRun.WaitForEndAsync(client, job);
        Assert.Equal("done", ended.GetProperty("state").GetString());
        Assert.Equal(Enumerable.Range(1, 60).Select(number => (long)number), CyclesOf(service, ended));
    }

    private static List<long> CyclesOf(ServiceRun service, JsonElement job)
    {
        using var store = new SqliteConnection($"Data Source={Path.Combine(service.Folder, "runs.db")};Pooling=False");
        store.Open();
        using var command = store.CreateCommand();
        command.CommandText = "select cycle.number from cycle join run on run.key = cycle.run_key where run.id = $run order by cycle.number";
        command.Parameters.AddWithValue("$run", job.GetProperty("run").GetString());
        using var rows = command.ExecuteReader();
        var cycles = new List<long>();
        while (rows.Read())
            cycles.Add(rows.GetInt64(0));
        return cycles;
    }

    private static void Execute(string file, string sql)
    {
        using var store = new SqliteConnection($"Data Source={file};Pooling=False");
        store.Open();
        using var command = store.CreateCommand();
        command.CommandText = sql;
        Assert.Equal(1, command.ExecuteNonQuery());
    }

    private static long Single(ServiceRun service, string sql) => (long)Value(Path.Combine(service.Folder, "runs.db"), sql);

    private static object Value(string file, string sql)
    {
        using var store = new SqliteConnection($"Data Source={file};Pooling=False");
        store.Open();
        using var command = store.CreateCommand();
        command.CommandText = sql;
        return command.ExecuteScalar()!;
    }
}
