using System.Data.Common;
using Dapper;

namespace TestRig.Bench.Storage;

/// <summary>One transaction of a store: all statements of it go here.</summary>
internal sealed class StoreLink(DbConnection connection, DbTransaction transaction, CancellationToken cancellation)
{
    /// <returns>Rows that were changed.</returns>
    public Task<int> ExecuteAsync(string sql, object? values = null) => connection.ExecuteAsync(Command(sql, values));

    public async Task<List<T>> RowsAsync<T>(string sql, object? values = null) => (await connection.QueryAsync<T>(Command(sql, values))).AsList();

    /// <summary>The only row there can be; the default when there is none.</summary>
    public Task<T?> RowAsync<T>(string sql, object? values = null) => connection.QuerySingleOrDefaultAsync<T>(Command(sql, values));

    private CommandDefinition Command(string sql, object? values) => new(sql, values, transaction, cancellationToken: cancellation);
}
