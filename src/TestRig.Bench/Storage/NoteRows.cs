namespace TestRig.Bench.Storage;

/// <summary>Notes of runs.</summary>
internal static class NoteRows
{
    public static async Task AddAsync(StoreLink link, long run, RunNote note)
    {
        var number = await link.RowAsync<long>("select count(*) from note where run_key = @Run", new { Run = run }) + 1;
        await link.ExecuteAsync(
            "insert into note (run_key, number, at_ticks, at_offset, author, words, serial) values (@Run, @Number, @Ticks, @Offset, @By, @Words, @Serial)",
            new { Run = run, Number = number, Ticks = note.At.UtcTicks, Offset = StoredInstant.Offset(note.At), note.By, note.Words, note.Serial });
        for (var position = 0; position < note.Replaced.Length; position++)
        {
            await link.ExecuteAsync(
                "insert into replaced_part (run_key, note, position, part, put_in) values (@Run, @Note, @Position, @Part, @With)",
                new { Run = run, Note = number, Position = (long)position, note.Replaced[position].Part, note.Replaced[position].With });
        }
    }

    /// <summary>By the key of their run, in the order in which they were written.</summary>
    /// <param name="where">Which runs, in SQL.</param>
    public static async Task<ILookup<long, RunNote>> ReadAsync(StoreLink link, string where, object values)
    {
        var replaced = (await link.RowsAsync<ReplacedRow>(
            $"""
            select replaced_part.run_key as {nameof(ReplacedRow.Run)}, replaced_part.note as {nameof(ReplacedRow.Note)}, replaced_part.part as {nameof(ReplacedRow.Part)}, replaced_part.put_in as {nameof(ReplacedRow.With)}
            from replaced_part join run on run.key = replaced_part.run_key {where} order by replaced_part.position
            """,
            values)).ToLookup(row => (row.Run, row.Note), row => new ReplacedPart(row.Part, row.With));
        var notes = await link.RowsAsync<NoteRow>(
            $"""
            select
                note.run_key as {nameof(NoteRow.Run)}, note.number as {nameof(NoteRow.Number)}, note.at_ticks as {nameof(NoteRow.Ticks)}, note.at_offset as {nameof(NoteRow.Offset)},
                note.author as {nameof(NoteRow.Author)}, note.words as {nameof(NoteRow.Words)}, note.serial as {nameof(NoteRow.Serial)}
            from note join run on run.key = note.run_key {where} order by note.number
            """,
            values);
        return notes.ToLookup(row => row.Run, row => new RunNote(StoredInstant.Of(row.Ticks, row.Offset), row.Author, row.Words, [.. replaced[(row.Run, row.Number)]], row.Serial));
    }

    private sealed class NoteRow
    {
        public long Run { get; init; }

        public long Number { get; init; }

        public long Ticks { get; init; }

        public long Offset { get; init; }

        public string Author { get; init; } = "";

        public string Words { get; init; } = "";

        public string? Serial { get; init; }
    }

    private sealed class ReplacedRow
    {
        public long Run { get; init; }

        public long Note { get; init; }

        public string Part { get; init; } = "";

        public string With { get; init; } = "";
    }
}
