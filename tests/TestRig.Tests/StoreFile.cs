using Microsoft.Data.Sqlite;

namespace TestRig.Tests;

/// <summary>A store's file, by SQLite itself.</summary>
internal static class StoreFile
{
    public static void Change(string store, string statement)
    {
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = store, Pooling = false }.ConnectionString);
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = statement;
        command.ExecuteNonQuery();
    }
}
