using TestRig.Bench.Storage;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

public sealed class RunTablesTests
{
    /// <summary>A column that a later version of the schema adds has to be named in <see cref="RunTables"/>, or runs would lose it on their way to a shared store.</summary>
    [Fact]
    public async Task Every_column_of_the_schema_is_copied_or_named_as_not_copied()
    {
        await using var database = new SqliteDatabase(Path.Combine(TestFolders.CreateInMemory().FullName, "runs.db"));
        await StoreSchema.Runs.BringUpAsync(database, CancellationToken.None);
        var columns = await database.ReadAsync(
            link => link.RowsAsync<string>("select sqlite_master.name || '.' || info.name from sqlite_master join pragma_table_info(sqlite_master.name) info where sqlite_master.type = 'table'"),
            CancellationToken.None);
        var copied = RunTables.All.SelectMany(table => table.Columns.Select(column => $"{table.Name}.{column}")).ToList();
        Assert.Equal(copied.Count, copied.Distinct().Count());
        Assert.Equal(
            columns.Where(column => !column.EndsWith(".run_key", StringComparison.Ordinal)).Order(StringComparer.Ordinal), copied.Concat(RunTables.NotCopied).Order(StringComparer.Ordinal));
    }
}
