using System.Collections.Immutable;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Reporting;

/// <summary>A note, as every JSON record has it.</summary>
internal sealed record NoteEntry(string At, string By, string Words, ImmutableArray<ReplacedEntry> Replaced, string? Serial)
{
    public static NoteEntry Of(RunNote note) => new(
        RecordJson.Instant(note.At), note.By, note.Words, [.. note.Replaced.Select(part => new ReplacedEntry(part.Part, part.With))], note.Serial);

    /// <summary>Null where there are none: then the key is left out.</summary>
    public static ImmutableArray<NoteEntry>? Of(BoardRecord? record) => record is null or { Notes.IsEmpty: true } ? null : [.. record.Notes.Select(Of)];
}

internal sealed record ReplacedEntry(string Part, string With);
