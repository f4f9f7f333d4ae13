using System.Globalization;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using Npgsql;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>Two services with one PostgreSQL store, whose server is killed while both soak.</summary>
public sealed class SharedStoreTests
{
    private const int Cycles = 300;

    [Fact]
    public async Task Benches_go_on_while_the_shared_store_is_dead_and_it_has_every_cycle_once_when_it_is_back()
    {
        using var server = new PrivatePostgres(durable: false);
        var database = await server.StartAsync();
        using var north = ServiceRun.Start(top: $"store: {database}", name: "north");
        using var south = ServiceRun.Start(top: $"store: {database}", name: "south");
        using var clients = new Clients(north, south);
        var jobs = new List<long>();
        foreach (var (service, client) in clients.All)
        {
            await service.ArmAsync(client);
            jobs.Add(await ServiceRun.AskForAsync(client, $$"""{"kind":"soak","cycles":{{Cycles.ToString(CultureInfo.InvariantCulture)}}}"""));
        }
        foreach (var (_, client) in clients.All)
            await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("soak", out var soak) && soak.GetProperty("cycles").GetInt64() >= 5);

        await server.KillAsync();
        var runs = new List<string>();
        foreach (var ((_, client), job) in clients.All.Zip(jobs))
        {
            await ServiceRun.WaitAsync(client, "/api/store", store => store.TryGetProperty("awaySince", out _));
            // To its end, though the server is dead.
            var ended = await ServiceRun.WaitForEndAsync(client, job);
            Assert.Equal("done", ended.GetProperty("state").GetString());
            runs.Add(ended.GetProperty("run").GetString()!);
            await ServiceRun.WaitAsync(client, "/api/store", store => store.GetProperty("cyclesWaiting").GetInt64() is > 0 and <= Cycles);
        }
        await server.StartAgainAsync();

        foreach (var (_, client) in clients.All)
            await ServiceRun.WaitAsync(client, "/api/store", store => !store.TryGetProperty("awaySince", out _) && store.GetProperty("cyclesWaiting").GetInt64() == 0);
        Assert.Equal(2, runs.Distinct().Count());
        foreach (var run in runs)
            Assert.Equal(Enumerable.Range(1, Cycles).Select(number => (long)number), await CyclesAsync(database, run));
        foreach (var (service, client) in clients.All)
        {
            // Handed over: its own file has none left.
            await ServiceRun.WaitAsync(client, "/api/store", _ => RunsKept(service) == 0);
            Assert.Empty((await client.GetFromJsonAsync("/api/store")).GetProperty("refused").EnumerateObject());
            // Each service shows the runs of both.
            var listed = (await client.GetFromJsonAsync("/api/runs")).GetProperty("runs").EnumerateArray().Select(run => run.GetProperty("name").GetString());
            Assert.Equal(runs.Order(StringComparer.Ordinal), listed.Order(StringComparer.Ordinal));
        }
    }

    private static long RunsKept(ServiceRun service)
    {
        using var spool = new SqliteConnection($"Data Source={Path.Combine(service.Folder, "service", "spool.db")};Mode=ReadOnly;Pooling=False");
        spool.Open();
        using var command = spool.CreateCommand();
        command.CommandText = "select count(*) from run";
        return (long)command.ExecuteScalar()!;
    }

    private static async Task<List<long>> CyclesAsync(Uri database, string run)
    {
        var user = database.UserInfo.Split(':');
        await using var store = new NpgsqlConnection($"Host={database.Host};Port={database.Port.ToString(CultureInfo.InvariantCulture)};Username={user[0]};Password={user[1]};Database={database.AbsolutePath.Trim('/')};Search Path=testrig;Pooling=false");
        await store.OpenAsync();
        await using var command = new NpgsqlCommand("select cycle.number from cycle join run on run.key = cycle.run_key where run.id = $1 order by cycle.number", store) { Parameters = { new() { Value = run } } };
        await using var rows = await command.ExecuteReaderAsync();
        var cycles = new List<long>();
        while (await rows.ReadAsync())
            cycles.Add(rows.GetInt64(0));
        return cycles;
    }

    /// <summary>One of each service, with both rights.</summary>
    private sealed class Clients(params ServiceRun[] services) : IDisposable
    {
        public List<(ServiceRun Service, HttpClient Client)> All { get; } = [.. services.Select(service => (service, service.Client(service.CreateToken("anna", "read+drive"))))];

        public void Dispose() => All.ForEach(each => each.Client.Dispose());
    }
}

/// <summary>JSON of an answer.</summary>
file static class Answers
{
    public static async Task<JsonElement> GetFromJsonAsync(this HttpClient client, string path) => JsonDocument.Parse(await client.GetStringAsync(path)).RootElement;
}
