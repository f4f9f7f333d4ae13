using Dapper;
using Npgsql;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

/// <summary>A PostgreSQL server that these tests alone use, from its start to the last of them. When it does not start, they fail: a store that was not tried is not known to work.</summary>
public sealed class PostgresServer : IAsyncLifetime, IDisposable
{
    private readonly PrivatePostgres _server = new(durable: false);

    /// <summary>Of its first database.</summary>
    public Uri Address { get; private set; } = new("postgres://not-started");

    public async Task InitializeAsync() => Address = await _server.StartAsync();

    /// <inheritdoc cref="PrivatePostgres.KillAsync"/>
    public Task KillAsync() => _server.KillAsync();

    /// <inheritdoc cref="PrivatePostgres.StartAgainAsync"/>
    public Task StartAgainAsync() => _server.StartAgainAsync();

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

    public Task DisposeAsync() => _server.StopAsync();

    public void Dispose() => _server.Dispose();
}
