using System.Diagnostics;
using Dapper;
using Npgsql;
using TestRig.Bench.Tests.Files;

namespace TestRig.Bench.Tests.Storage;

/// <summary>A PostgreSQL server that these tests alone use, from its start to the last of them. When it does not start, they fail: a store that was not tried is not known to work.</summary>
public sealed class PostgresServer : IAsyncLifetime, IDisposable
{
    private readonly Process _server = new()
    {
        StartInfo = new(Path.Combine(Repository.Root, "tools", "private-postgres")) { RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true },
    };

    private readonly List<string> _errors = [];

    /// <summary>Of its first database.</summary>
    public Uri Address { get; private set; } = new("postgres://not-started");

    public async Task InitializeAsync()
    {
        _server.ErrorDataReceived += (_, line) => _errors.Add(line.Data ?? "");
        _server.Start();
        _server.BeginErrorReadLine();
        var line = await _server.StandardOutput.ReadLineAsync();
        if (line?.StartsWith("url ", StringComparison.Ordinal) == true)
        {
            Address = new(line["url ".Length..]);
            return;
        }
        await _server.WaitForExitAsync();
        throw new InvalidOperationException($"tools/private-postgres did not start a PostgreSQL server. Run tools/install-needs, then the tests again.\n{string.Join('\n', _errors)}");
    }

    /// <summary>A new, empty database.</summary>
    public async Task<Uri> NewDatabaseAsync()
    {
        var name = $"t{Guid.NewGuid():N}";
        await ExecuteAsync(Address, $"create database {name}");
        return DatabaseAt(name);
    }

    public Uri DatabaseAt(string name) => new(Address, "/" + name);

    public static async Task ExecuteAsync(Uri database, string sql)
    {
        await using var connection = await ConnectAsync(database);
        await connection.ExecuteAsync(sql);
    }

    public static async Task<NpgsqlConnection> ConnectAsync(Uri database)
    {
        var user = database.UserInfo.Split(':');
        var connection = new NpgsqlConnection(new NpgsqlConnectionStringBuilder
        {
            Host = database.Host,
            Port = database.Port,
            Username = user[0],
            Password = user[1],
            Database = database.AbsolutePath.Trim('/'),
            SearchPath = "testrig",
            Pooling = false,
        }.ConnectionString);
        await connection.OpenAsync();
        return connection;
    }

    public async Task DisposeAsync()
    {
        _server.StandardInput.Close();
        await _server.WaitForExitAsync();
    }

    public void Dispose() => _server.Dispose();
}
