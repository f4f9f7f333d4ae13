using TestRig.Bench.Storage;

namespace TestRig.Bench.Tests.Storage;

/// <summary>All that a store has, as text: what belongs to a run by the run's name and not by its key, which each store gives by itself.</summary>
internal static class StoreRows
{
    /// <summary>By table.</summary>
    public static Task<Dictionary<string, List<string>>> ReadAsync(StoreDatabase database) => database.ReadAsync(
        async link =>
        {
            var all = new Dictionary<string, List<string>>();
            var names = (await link.ValuesAsync("select key, id from run")).ToDictionary(row => (long)row[0]!, row => (string)row[1]!);
            foreach (var table in await link.RowsAsync<string>(database.Tables))
            {
                var rows = (await link.RowsAsync<dynamic>($"select * from {table}")).Select(row => new SortedDictionary<string, object?>((IDictionary<string, object?>)row, StringComparer.Ordinal)).ToList();
                foreach (var row in rows)
                {
                    row.Remove("key");
                    if (row.TryGetValue("run_key", out var key))
                        row["run_key"] = names[(long)key!];
                }
                all.Add(table, [.. rows.Select(SomeRun.Text).Order(StringComparer.Ordinal)]);
            }
            return all;
        },
        CancellationToken.None);

    public static async Task AreSameAsync(StoreDatabase expected, StoreDatabase actual)
    {
        var (left, right) = (await ReadAsync(expected), await ReadAsync(actual));
        Assert.Equal(left.Keys.Order(StringComparer.Ordinal), right.Keys.Order(StringComparer.Ordinal));
        Assert.All(left, table => Assert.Equal(table.Value, right[table.Key]));
    }
}
