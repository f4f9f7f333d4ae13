using System.Data.Common;
using System.Globalization;
using Dapper;

namespace TestRig.Bench.Storage;

/// <summary>One transaction of a store: all statements of it go here.</summary>
/// <param name="beforeEach">Is given each statement before it is sent.</param>
internal sealed class StoreLink(DbConnection connection, DbTransaction transaction, CancellationToken cancellation, Action<string>? beforeEach = null)
{
    /// <summary>That one statement adds: SQLite takes 32766 of them, PostgreSQL 65535.</summary>
    private const int ValuesAtOnce = 1000;

    /// <summary>The same transaction, of which somebody is given each statement before it is sent.</summary>
    public StoreLink Watched(Action<string> before) => new(connection, transaction, cancellation, before);

    /// <returns>Rows that were changed.</returns>
    public Task<int> ExecuteAsync(string sql, object? values = null) => connection.ExecuteAsync(Command(sql, values));

    public async Task<List<T>> RowsAsync<T>(string sql, object? values = null) => (await connection.QueryAsync<T>(Command(sql, values))).AsList();

    /// <summary>The only row there can be; the default when there is none.</summary>
    public Task<T?> RowAsync<T>(string sql, object? values = null) => connection.QuerySingleOrDefaultAsync<T>(Command(sql, values));

    /// <summary>Rows as the database has them: each a long, a double, a string, bytes or null for each column.</summary>
    public async Task<List<object?[]>> ValuesAsync(string sql, object? values = null)
    {
        await using var reader = await connection.ExecuteReaderAsync(Command(sql, values));
        var rows = new List<object?[]>();
        while (await reader.ReadAsync(cancellation))
        {
            var row = new object?[reader.FieldCount];
            reader.GetValues(row!);
            for (var column = 0; column < row.Length; column++)
                row[column] = row[column] is DBNull ? null : row[column];
            rows.Add(row);
        }
        return rows;
    }

    /// <summary>Adds rows that <see cref="ValuesAsync"/> read, here or in another database.</summary>
    /// <param name="unlessThere">Leaves out the rows whose key the table has already.</param>
    public async Task InsertAsync(string table, IReadOnlyCollection<string> columns, IEnumerable<object?[]> rows, bool unlessThere = false)
    {
        foreach (var some in rows.Chunk(ValuesAtOnce / columns.Count))
        {
            var values = new DynamicParameters();
            var places = some.Select((row, number) => $"({string.Join(", ", row.Select((value, column) => PlaceOf(values, value, (number * columns.Count) + column)))})");
            await ExecuteAsync($"insert into {table} ({string.Join(", ", columns)}) values {string.Join(", ", places)}{(unlessThere ? " on conflict do nothing" : "")}", values);
        }
    }

    private static string PlaceOf(DynamicParameters values, object? value, int number)
    {
        var name = string.Create(CultureInfo.InvariantCulture, $"V{number}");
        values.Add(name, value);
        return $"@{name}";
    }

    private CommandDefinition Command(string sql, object? values)
    {
        beforeEach?.Invoke(sql);
        return new(sql, values, transaction, cancellationToken: cancellation);
    }
}
