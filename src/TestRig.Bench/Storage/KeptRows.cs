namespace TestRig.Bench.Storage;

/// <summary>Captures that are kept of cycles.</summary>
internal static class KeptRows
{
    /// <summary>Of a cycle of which captures are kept already, these take their place.</summary>
    public static Task AddAsync(StoreLink link, long run, long cycle, KeepReason reason, byte[] captures) => link.ExecuteAsync(
        """
        insert into kept (run_key, cycle, reason, bytes, captures) values (@Run, @Cycle, @Reason, @Bytes, @Captures)
        on conflict (run_key, cycle) do update set reason = excluded.reason, bytes = excluded.bytes, captures = excluded.captures
        """,
        new { Run = run, Cycle = cycle, Reason = reason.ToString(), Bytes = captures.LongLength, Captures = captures });

    /// <returns>Bytes that they took.</returns>
    public static async Task<long> ForgetAsync(StoreLink link, long run, IReadOnlyCollection<long> cycles)
    {
        var bytes = 0L;
        foreach (var cycle in cycles)
            bytes += await link.RowAsync<long?>("delete from kept where run_key = @Run and cycle = @Cycle returning bytes", new { Run = run, Cycle = cycle }) ?? 0;
        return bytes;
    }

    public static async Task<IReadOnlyList<KeptEntry>> ListAsync(StoreLink link, long run)
    {
        var rows = await link.RowsAsync<EntryRow>(
            $"select cycle as {nameof(EntryRow.Cycle)}, reason as {nameof(EntryRow.Reason)}, bytes as {nameof(EntryRow.Bytes)} from kept where run_key = @Run order by cycle", new { Run = run });
        return rows.ConvertAll(row => new KeptEntry(row.Cycle, StoredWord.Read<KeepReason>(row.Reason), row.Bytes));
    }

    /// <summary>Null when none are kept.</summary>
    public static async Task<(KeepReason Reason, byte[] Captures)?> ReadAsync(StoreLink link, long run, long cycle)
    {
        var row = await link.RowAsync<CapturesRow>(
            $"select reason as {nameof(CapturesRow.Reason)}, captures as {nameof(CapturesRow.Captures)} from kept where run_key = @Run and cycle = @Cycle", new { Run = run, Cycle = cycle });
        return row is null ? null : (StoredWord.Read<KeepReason>(row.Reason), row.Captures);
    }

    private sealed class EntryRow
    {
        public long Cycle { get; init; }

        public string Reason { get; init; } = "";

        public long Bytes { get; init; }
    }

    private sealed class CapturesRow
    {
        public string Reason { get; init; } = "";

        public byte[] Captures { get; init; } = [];
    }
}
