using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>One look that differed from the one before it.</summary>
/// <param name="Stamp">Ticks from the burst's start, when the last pin of the look was read.</param>
public sealed record ChangeRecord(uint Stamp, ImmutableArray<byte> Snapshot);

/// <summary>Readings of one analog pin within a burst.</summary>
/// <param name="At">Ticks from the burst's start: start of the first conversion.</param>
public sealed record LevelRecord(uint At, LevelEntry Entry);

/// <summary>Why nothing was looked at.</summary>
public enum GapCause : byte
{
    Measuring = 1,
    NoRoomForChanges = 2,
    NoRoomForLevels = 3,
}

/// <summary>A stretch in which nothing was looked at, in ticks from the burst's start.</summary>
public sealed record GapRecord(uint From, uint To, GapCause Cause);

/// <summary>What a pin read after its discharge, and after its pull-up was switched on.</summary>
public sealed record LeadEntry(byte Pin, bool AfterDischarge, bool AfterPullUp);

/// <summary>A list of equal entries in a reply.</summary>
public sealed record Entries<T>(ImmutableArray<T> Items);

/// <summary>Parsers of the replies that are lists.</summary>
public static class RecordLists
{
    private const int GapLength = 9;

    private const int LeadLength = 3;

    /// <summary>Change records that one reply holds.</summary>
    public static int ChangesPerReply(int snapshotBytes) => RoomForRecords / (4 + snapshotBytes);

    /// <summary>Level records that one reply holds.</summary>
    public const int LevelsPerReply = RoomForRecords / (4 + LevelEntry.Length);

    /// <summary>Gap records that one reply holds.</summary>
    public const int GapsPerReply = RoomForRecords / GapLength;

    /// <summary>The result takes one byte of a reply's body.</summary>
    private const int RoomForRecords = FrameFormat.LongestBody - 1;

    public static Parsed<Entries<ChangeRecord>> ParseChanges(ReadOnlySpan<byte> body, int snapshotBytes)
    {
        var length = 4 + snapshotBytes;
        if (body.Length % length != 0)
            return new("the change records end in the middle of one");
        var reader = new BodyReader(body);
        var records = ImmutableArray.CreateBuilder<ChangeRecord>(body.Length / length);
        while (reader.Remaining > 0)
            records.Add(new(reader.U32(), [.. reader.Take(snapshotBytes)]));
        return new(new Entries<ChangeRecord>(records.MoveToImmutable()));
    }

    public static Parsed<Entries<LevelRecord>> ParseLevelRecords(ReadOnlySpan<byte> body)
    {
        const int Length = 4 + LevelEntry.Length;
        if (body.Length % Length != 0)
            return new("the level records end in the middle of one");
        var reader = new BodyReader(body);
        var records = ImmutableArray.CreateBuilder<LevelRecord>(body.Length / Length);
        while (reader.Remaining > 0)
        {
            var record = new LevelRecord(reader.U32(), LevelEntry.Read(ref reader));
            if (record.Entry.Contradiction() is { } contradiction)
                return new(contradiction);
            records.Add(record);
        }
        return new(new Entries<LevelRecord>(records.MoveToImmutable()));
    }

    public static Parsed<Entries<LevelEntry>> ParseLevels(ReadOnlySpan<byte> body)
    {
        if (body.Length % LevelEntry.Length != 0)
            return new("the level readings end in the middle of one");
        var reader = new BodyReader(body);
        var entries = ImmutableArray.CreateBuilder<LevelEntry>(body.Length / LevelEntry.Length);
        while (reader.Remaining > 0)
        {
            var entry = LevelEntry.Read(ref reader);
            if (entry.Contradiction() is { } contradiction)
                return new(contradiction);
            entries.Add(entry);
        }
        return new(new Entries<LevelEntry>(entries.MoveToImmutable()));
    }

    public static Parsed<Entries<GapRecord>> ParseGaps(ReadOnlySpan<byte> body)
    {
        if (body.Length % GapLength != 0)
            return new("the gap records end in the middle of one");
        var reader = new BodyReader(body);
        var records = ImmutableArray.CreateBuilder<GapRecord>(body.Length / GapLength);
        while (reader.Remaining > 0)
        {
            var record = new GapRecord(reader.U32(), reader.U32(), (GapCause)reader.U8());
            if (record.To < record.From)
                return new($"a gap ends at {record.To}, before it begins at {record.From}");
            if (record.Cause is < GapCause.Measuring or > GapCause.NoRoomForLevels)
                return new($"a gap has an unknown cause {(byte)record.Cause}");
            records.Add(record);
        }
        return new(new Entries<GapRecord>(records.MoveToImmutable()));
    }

    public static Parsed<Entries<LeadEntry>> ParseLeads(ReadOnlySpan<byte> body)
    {
        if (body.Length % LeadLength != 0)
            return new("the lead readings end in the middle of one");
        var reader = new BodyReader(body);
        var entries = ImmutableArray.CreateBuilder<LeadEntry>(body.Length / LeadLength);
        while (reader.Remaining > 0)
            entries.Add(new(reader.U8(), reader.U8() != 0, reader.U8() != 0));
        return new(new Entries<LeadEntry>(entries.MoveToImmutable()));
    }
}
