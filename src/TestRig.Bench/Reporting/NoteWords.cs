using TestRig.Bench.Storage;

namespace TestRig.Bench.Reporting;

/// <summary>Notes in the words of every screen and report.</summary>
public static class NoteWords
{
    /// <summary>"2026-03-12 18:40, anna: OK3 replaced (4N25, date code 2419). The socket was dark."</summary>
    public static string Of(RunNote note) => $"{Words.At(note.At)}, {note.By}: {What(note)}";

    /// <summary>Without when and by whom.</summary>
    public static string What(RunNote note)
    {
        var parts = new List<string>();
        if (!note.Replaced.IsEmpty)
            parts.Add($"{string.Join(", ", note.Replaced.Select(Of))} replaced.");
        if (note.Serial is { } serial)
            parts.Add($"Serial number of the board: {serial}.");
        if (note.Words.Length > 0)
            parts.Add(note.Words);
        return string.Join(" ", parts);
    }

    /// <summary>"OK3 (4N25, date code 2419)".</summary>
    public static string Of(ReplacedPart part) => part.With.Length == 0 ? part.Part : $"{part.Part} ({part.With})";
}
