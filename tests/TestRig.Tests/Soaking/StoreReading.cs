using System.Collections.Immutable;
using Microsoft.Data.Sqlite;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>What is in a store's file, read by SQLite alone: nothing of the product has a part in it.</summary>
/// <param name="Integrity">"ok", or what SQLite finds broken.</param>
internal sealed record StoreReading(string Integrity, ImmutableArray<StoredSoak> Runs)
{
    /// <summary>Reads a copy: what a killed program left there is the next one's to put in order.</summary>
    public static StoreReading Of(string file)
    {
        var folder = TestFolders.Create();
        try
        {
            var copy = Path.Combine(folder.FullName, "copy.db");
            File.Copy(file, copy);
            if (File.Exists(file + "-wal"))
                File.Copy(file + "-wal", copy + "-wal");
            using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = copy, Pooling = false }.ConnectionString);
            connection.Open();
            var integrity = Rows(connection, "pragma integrity_check", row => row.GetString(0));
            var broken = Rows(connection, "pragma foreign_key_check", row => row.GetString(0));
            // A program that was killed before it made the tables has no runs.
            var runs = Rows(connection, "select name from sqlite_master where name = 'run'", row => row.GetString(0)).IsEmpty
                ? []
                : Rows(connection, "select key, id, cycles, failed_cycles, ended_ticks is not null from run order by key", row => Run(connection, row));
            return new(string.Join("; ", integrity.Concat(broken.Select(table => $"a row of {table} belongs to nothing"))), runs);
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static StoredSoak Run(SqliteConnection connection, SqliteDataReader row)
    {
        var key = row.GetInt64(0);
        return new(
            row.GetString(1), row.GetInt64(2), row.GetInt64(3), row.GetBoolean(4),
            Rows(connection, $"select number from cycle where run_key = {key} order by number", cycle => cycle.GetInt64(0)),
            Rows(connection, $"select number from session where run_key = {key} order by number", session => session.GetInt64(0)).Length,
            Rows(connection, $"select cycle, position from cycle_channel where run_key = {key} and condition = 'NotTested' order by cycle, position", channel => (channel.GetInt64(0), channel.GetInt32(1))));
    }

    private static ImmutableArray<T> Rows<T>(SqliteConnection connection, string query, Func<SqliteDataReader, T> read)
    {
        using var command = connection.CreateCommand();
        command.CommandText = query;
        using var reader = command.ExecuteReader();
        var rows = ImmutableArray.CreateBuilder<T>();
        while (reader.Read())
            rows.Add(read(reader));
        return rows.ToImmutable();
    }
}
