using System.Buffers.Binary;
using System.Collections.Immutable;
using System.IO.Compression;
using System.IO.Hashing;
using TestRig.Bench.Files;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Storage;

/// <summary>
/// What was captured in a cycle as bytes, exactly: a byte with the version of the format, the CRC-32 of what follows, and that compressed. Channels are kept by name, so that captures can be judged by a changed
/// profile.
/// </summary>
internal static class CaptureCodec
{
    private const byte Version = 2;

    /// <summary>The first one: of a voltage whose unknowns are not told it does not say what it shares with others of its converter.</summary>
    private const byte WithoutShared = 1;

    private const int HeadingLength = 1 + sizeof(uint);

    /// <summary>A sweep of a small board takes 2.2 kB so, in a fraction of a millisecond; the best that there is takes a tenth less and a hundred times as long, and Deflate a fifth more (measured).</summary>
    private const int BrotliQuality = 5;

    public static byte[] Encode(ImmutableArray<ExerciseRecord> records, ImmutableArray<Seen> beside)
    {
        using var writer = new PackedWriter();
        writer.Count(records.Length);
        foreach (var record in records)
            Write(writer, record);
        writer.Count(beside.Length);
        foreach (var seen in beside)
            Write(writer, seen);
        return Sealed(writer.ToArray());
    }

    /// <param name="board">Exercises of channels, or with companions, that it does not have are left out.</param>
    /// <param name="what">What is read, with its place, for the error's words.</param>
    /// <exception cref="RunStorageException">The bytes are not those that were written.</exception>
    public static (ImmutableArray<ExerciseRecord> Records, ImmutableArray<Seen> Beside) Decode(byte[] bytes, Board board, string what)
    {
        if (bytes.Length > 0 && bytes[0] > Version)
            throw new RunStorageException($"{what} were written by a newer testrig. Update testrig to read them.");
        try
        {
            using var reader = new PackedReader(Opened(bytes)) { Version = bytes[0] };
            var channels = board.Channels.ToDictionary(channel => channel.Name, StringComparer.Ordinal);
            ImmutableArray<ExerciseRecord> records = [.. reader.Many(() => ReadRecord(reader, channels)).OfType<ExerciseRecord>()];
            var beside = reader.Many(() => ReadSeen(reader));
            return reader.AtEnd ? (records, beside) : throw new InvalidDataException("something follows its end");
        }
        catch (Exception broken) when (broken is IOException or FormatException or InvalidDataException or OverflowException)
        {
            throw new RunStorageException($"{what} are damaged ({broken.Message.TrimEnd('.')}). What is told of the cycle without them is whole; restore the store from a backup to see them.", broken);
        }
    }

    private static byte[] Sealed(byte[] content)
    {
        using var stream = new MemoryStream();
        stream.Write(new byte[HeadingLength]);
        using (var compression = new BrotliStream(stream, new BrotliCompressionOptions { Quality = BrotliQuality }, leaveOpen: true))
            compression.Write(content);
        var bytes = stream.ToArray();
        bytes[0] = Version;
        BinaryPrimitives.WriteUInt32LittleEndian(bytes.AsSpan(1), Checksum(bytes));
        return bytes;
    }

    private static byte[] Opened(byte[] bytes)
    {
        if (bytes.Length < HeadingLength)
            throw new InvalidDataException("it is cut short");
        if (bytes[0] is not (Version or WithoutShared))
            throw new InvalidDataException("its first byte is none that was written");
        if (BinaryPrimitives.ReadUInt32LittleEndian(bytes.AsSpan(1)) != Checksum(bytes))
            throw new InvalidDataException("its checksum is not that of its bytes");
        using var compression = new BrotliStream(new MemoryStream(bytes, HeadingLength, bytes.Length - HeadingLength), CompressionMode.Decompress);
        using var content = new MemoryStream();
        compression.CopyTo(content);
        return content.ToArray();
    }

    private static uint Checksum(byte[] bytes) => Crc32.HashToUInt32(bytes.AsSpan(HeadingLength));

    private static void Write(PackedWriter writer, ExerciseRecord record)
    {
        var exercise = record.Exercise;
        writer.Name(exercise.Channel.Name);
        writer.Word(exercise.Mode);
        writer.Whole(exercise.OnAt.Picoseconds);
        writer.Whole(exercise.OffAt.Picoseconds);
        writer.Count(exercise.Readings.Length);
        foreach (var reading in exercise.Readings)
        {
            writer.Whole(reading.At.Picoseconds);
            writer.Name(reading.TestPoint);
        }
        writer.Count(exercise.Companions.Length);
        foreach (var companion in exercise.Companions)
            writer.Name(companion.Name);
        writer.Count(record.Captures.Length);
        foreach (var capture in record.Captures)
            Write(writer, capture);
        writer.Count(record.Leads.Count);
        foreach (var (point, state) in record.Leads.OrderBy(lead => lead.Key, StringComparer.Ordinal))
        {
            writer.Name(point);
            writer.Word(state);
        }
    }

    /// <summary>Null when the board lacks one of its channels.</summary>
    private static ExerciseRecord? ReadRecord(PackedReader reader, Dictionary<string, Channel> channels)
    {
        var channel = channels.GetValueOrDefault(reader.Name());
        var mode = reader.Word<ExerciseMode>();
        var (onAt, offAt) = (new Duration(reader.Whole()), new Duration(reader.Whole()));
        var readings = reader.Many(() => new PlannedReading(new(reader.Whole()), reader.Name()));
        var companions = reader.Many(() => channels.GetValueOrDefault(reader.Name()));
        var captures = reader.Many(() => ReadCapture(reader));
        var leads = reader.Many(() => KeyValuePair.Create(reader.Name(), reader.Word<LeadState>())).ToImmutableDictionary();
        return channel is null || companions.Contains(null)
            ? null
            : new(new(channel, mode, onAt, offAt, readings) { Companions = [.. companions.OfType<Channel>()] }, captures, leads);
    }

    private static void Write(PackedWriter writer, Capture capture)
    {
        writer.Whole(capture.Tick.Picoseconds);
        writer.Whole(capture.Resolution.Picoseconds);
        writer.Real(capture.ClockTolerance);
        var unit = UnitOf(capture);
        writer.Whole(unit);
        var times = new TimeScale(unit);
        writer.Whole(times.Step(capture.End));
        writer.Count(capture.Signals.Length);
        foreach (var signal in capture.Signals)
            Write(writer, signal, new(unit));
        writer.Count(capture.Gaps.Length);
        foreach (var gap in capture.Gaps)
        {
            writer.Whole(times.Step(gap.From));
            writer.Whole(times.Step(gap.To));
            writer.Word(gap.Reason);
        }
        writer.Count(capture.Levels.Length);
        foreach (var level in capture.Levels)
        {
            writer.Whole(times.Step(level.At));
            Write(writer, level);
        }
        writer.Word(capture.Ending.Outcome);
        writer.Flag(capture.Ending.StoppedBy is not null);
        if (capture.Ending.StoppedBy is { } stop)
            writer.Name(stop);
        writer.Flag(capture.HostTiming is not null);
        if (capture.HostTiming is { } timing)
            Write(writer, timing);
    }

    private static Capture ReadCapture(PackedReader reader)
    {
        var (tick, resolution) = (new Duration(reader.Whole()), new Duration(reader.Whole()));
        var tolerance = reader.Real();
        var unit = reader.Whole();
        var times = new TimeScale(unit);
        var end = times.After(reader.Whole());
        var signals = reader.Many(() => ReadSignal(reader, new(unit)));
        var gaps = reader.Many(() => new Gap(times.After(reader.Whole()), times.After(reader.Whole()), reader.Word<GapReason>()));
        var levels = reader.Many(() => ReadLevel(reader, times.After(reader.Whole())));
        var ending = new CaptureEnding(reader.Word<CaptureOutcome>(), reader.Flag() ? reader.Name() : null);
        return new(tick, resolution, tolerance, end, signals, gaps, levels, ending) { HostTiming = reader.Flag() ? ReadTiming(reader) : null };
    }

    /// <summary>Instants of an adapter that counts its own clock are whole ticks, and take fewer bytes so.</summary>
    private static long UnitOf(Capture capture)
    {
        var tick = capture.Tick.Picoseconds;
        return tick > 1 && capture.Signals.SelectMany(signal => signal.Changes).SelectMany(change => new[] { change.After, change.NotAfter })
            .Concat(capture.Gaps.SelectMany(gap => new[] { gap.From, gap.To }))
            .Concat(capture.Levels.Select(level => level.At))
            .Append(capture.End).All(instant => instant.Picoseconds % tick == 0)
            ? tick
            : 1;
    }

    private static void Write(PackedWriter writer, Signal signal, TimeScale times)
    {
        writer.Name(signal.Name);
        writer.Flag(signal.Initial == Level.High);
        writer.Count(signal.Changes.Length);
        var before = signal.Initial;
        foreach (var change in signal.Changes)
        {
            writer.Whole(times.Step(change.After));
            writer.Whole(times.Step(change.NotAfter));
            writer.Flag(change.Level == before);
            before = change.Level;
        }
    }

    private static Signal ReadSignal(PackedReader reader, TimeScale times)
    {
        var name = reader.Name();
        var initial = reader.Flag() ? Level.High : Level.Low;
        var before = initial;
        var changes = reader.Many(() =>
        {
            var (after, notAfter) = (times.After(reader.Whole()), times.After(reader.Whole()));
            before = reader.Flag() ? before : before.Inverted();
            return new Change(after, notAfter, before);
        });
        return new(name, initial, changes);
    }

    private static void Write(PackedWriter writer, LevelReading level)
    {
        writer.Name(level.Signal);
        writer.Whole(level.Samples);
        writer.Real(level.Mean.Value);
        writer.Real(level.Minimum.Value);
        writer.Real(level.Maximum.Value);
        writer.Flag(level.Unknowns is not null);
        if (level.Unknowns is not { } unknowns)
        {
            writer.Real(level.StandardUncertainty.Value);
            writer.Real(level.SharedUncertainty.Value);
            return;
        }
        writer.Real(unknowns.Reference);
        writer.Real(unknowns.Step);
        writer.Real(unknowns.Converter);
        writer.Real(unknowns.Spread);
        writer.Real(unknowns.Resistor);
    }

    private static LevelReading ReadLevel(PackedReader reader, Instant at)
    {
        var signal = reader.Name();
        var samples = checked((int)reader.Whole());
        var (mean, minimum, maximum) = (new Volts(reader.Real()), new Volts(reader.Real()), new Volts(reader.Real()));
        return reader.Flag()
            ? LevelReading.With(signal, at, mean, minimum, maximum, samples, new(reader.Real(), reader.Real(), reader.Real(), reader.Real(), reader.Real()))
            : new LevelReading(signal, at, mean, minimum, maximum, samples, new(reader.Real())) { SharedUncertainty = new(reader.Version == WithoutShared ? 0 : reader.Real()) };
    }

    private static void Write(PackedWriter writer, HostTiming timing)
    {
        writer.Whole(timing.Looks);
        writer.Whole(timing.MeanWidth.Picoseconds);
        writer.Whole(timing.LongestWidth.Picoseconds);
        writer.Whole(timing.LateLooks);
        writer.Count(timing.StepLateness.Length);
        foreach (var late in timing.StepLateness)
            writer.Whole(late.Picoseconds);
    }

    private static HostTiming ReadTiming(PackedReader reader) => new(
        checked((int)reader.Whole()), new(reader.Whole()), new(reader.Whole()), checked((int)reader.Whole()), reader.Many(() => new Duration(reader.Whole())));

    private static void Write(PackedWriter writer, Seen seen)
    {
        writer.Name(seen.Sight.Channel);
        writer.Name(seen.Sight.Point);
        writer.Word(seen.Sight.Kind);
        writer.Whole(seen.Outcome);
        writer.Bits(seen.Possible);
    }

    private static Seen ReadSeen(PackedReader reader) => new(
        new(reader.Name(), reader.Name(), reader.Word<SightKind>()), checked((int)reader.Whole()), reader.Bits());

    /// <summary>Instants as steps from one to the next, in a unit that all of them are multiples of.</summary>
    private sealed class TimeScale(long unit)
    {
        private long _last;

        /// <summary>Steps may be wider than a number is; they wrap around, and back.</summary>
        public long Step(Instant instant)
        {
            var now = instant.Picoseconds / unit;
            var step = unchecked(now - _last);
            _last = now;
            return step;
        }

        /// <summary>The instant that <see cref="Step"/> made this step of.</summary>
        public Instant After(long step)
        {
            _last = unchecked(_last + step);
            return new(checked(_last * unit));
        }
    }
}
