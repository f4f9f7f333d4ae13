using System.Collections.Immutable;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Storage;

public class CaptureCodecTests
{
    private const string Seed = "20261128,1987";

    private static Arbitrary<int> Seeds { get; } = Gen.Choose(1, 1_000_000).ToArbitrary();

    [Property(Replay = Seed, MaxTest = 300)]
    public Property Whatever_was_captured_is_read_back_to_the_last_bit() => Prop.ForAll(Seeds, seed =>
    {
        var some = new SomeCapture(SimulatedRun.Dome, seed);
        var (records, beside) = (some.Records(), some.Beside());
        var read = Read(CaptureCodec.Encode(records, beside), SimulatedRun.Dome);
        return (SomeCapture.Text(records, beside) == SomeCapture.Text(read.Records, read.Beside)
            && records.Zip(read.Records).All(pair => ReferenceEquals(pair.First.Exercise.Channel, pair.Second.Exercise.Channel))).Classify(records.IsEmpty, "nothing exercised");
    });

    [Property(Replay = Seed, MaxTest = 300)]
    public Property Bytes_that_were_changed_or_cut_are_refused_and_never_read_as_something_else() => Prop.ForAll(Seeds, seed =>
    {
        var some = new SomeCapture(SimulatedRun.Dome, seed);
        var bytes = CaptureCodec.Encode(some.Records(), some.Beside());
        var random = new Random(seed);
        var at = random.Next(bytes.Length);
        var garbled = bytes.ToArray();
        garbled[at] ^= (byte)random.Next(1, 256);
        return IsRefused(garbled) && IsRefused(bytes[..at]) && IsRefused([.. bytes, (byte)random.Next(256)]);
    });

    /// <summary>Behind a checksum that is right, as if another program had written it.</summary>
    [Property(Replay = Seed, MaxTest = 300)]
    public Property Content_that_means_nothing_is_refused_or_read_but_breaks_nothing() => Prop.ForAll(Seeds, seed =>
    {
        var content = new byte[new Random(seed).Next(200)];
        new Random(seed).NextBytes(content);
        using var reader = new PackedReader(content);
        var outcome = Record.Exception(() =>
        {
            while (!reader.AtEnd)
                reader.Many(() => (reader.Name(), reader.Whole(), reader.Flag(), reader.Word<Condition>()));
        });
        return outcome is null or IOException or FormatException or InvalidDataException or OverflowException;
    });

    /// <summary>What the first version wrote of it is the same but for its first byte, wherever the unknowns of each voltage are told.</summary>
    [Property(Replay = Seed, MaxTest = 300)]
    public Property Captures_of_the_first_version_are_read() => Prop.ForAll(Seeds, seed =>
    {
        var some = new SomeCapture(SimulatedRun.Dome, seed);
        var (records, beside) = (some.Records().RemoveAll(record => record.Captures.Any(capture => capture.Levels.Any(level => level.Unknowns is null))), some.Beside());
        var bytes = CaptureCodec.Encode(records, beside);
        bytes[0] = 1;
        var read = Read(bytes, SimulatedRun.Dome);
        return (SomeCapture.Text(records, beside) == SomeCapture.Text(read.Records, read.Beside)).Classify(records.Any(record => record.Captures.Any(capture => !capture.Levels.IsEmpty)), "with voltages");
    });

    [Fact]
    public void Nothing_at_all_is_refused() => Assert.True(IsRefused([]));

    [Fact]
    public void Captures_of_a_newer_version_are_refused_with_the_remedy()
    {
        var bytes = CaptureCodec.Encode([], []);
        bytes[0]++;
        var refused = Assert.Throws<RunStorageException>(() => Read(bytes, SimulatedRun.Dome));
        Assert.Equal("The captures of this test were written by a newer testrig. Update testrig to read them.", refused.Message);
    }

    public static TheoryData<string, ExerciseMode, string, bool> Sweeps => new()
    {
        { "dome-drive", ExerciseMode.LogicOnly, "", false },
        { "dome-drive", ExerciseMode.LogicOnly, "OK3=dead", false },
        { "dome-drive", ExerciseMode.Motion, "", false },
        { "carillon", ExerciseMode.LogicOnly, "", true },
        { "tide-gauge", ExerciseMode.LogicOnly, "", false },
    };

    [Theory]
    [MemberData(nameof(Sweeps))]
    public async Task What_a_sweep_captured_is_judged_alike_when_it_was_read_back(string profile, ExerciseMode mode, string fault, bool together)
    {
        var board = DemoBoards.Load(profile);
        var result = await DemoBoards.SweepAsync(
            board, 7, new(mode, MotorOffConfirmed: mode == ExerciseMode.LogicOnly, NoStopInputAcknowledged: true) { Together = together }, fault.Length == 0 ? [] : [fault]);
        ImmutableArray<ExerciseRecord> records = [.. result.Channels.Select(channel => channel.Record).OfType<ExerciseRecord>()];
        Assert.NotEmpty(records);
        Assert.NotEmpty(result.Seen);
        var read = Read(CaptureCodec.Encode(records, result.Seen), board);
        Assert.Equal(SomeCapture.Text(records, result.Seen), SomeCapture.Text(read.Records, read.Beside));
        foreach (var (original, again) in records.Zip(read.Records))
        {
            var (first, second) = (ChannelJudge.Judge(board, original), ChannelJudge.Judge(board, again));
            Assert.Equal((first.Condition, first.Summary), (second.Condition, second.Summary));
            Assert.Equal(SomeRun.Text(first.Findings), SomeRun.Text(second.Findings));
        }
    }

    [Fact]
    public async Task Exercises_of_channels_that_a_changed_board_lacks_are_left_out()
    {
        var sweep = await SimulatedRun.SweepAsync(3);
        ImmutableArray<ExerciseRecord> records = [.. sweep.Channels.Select(channel => channel.Record).OfType<ExerciseRecord>()];
        ImmutableArray<ExerciseRecord> accompanied = [.. records, records[1] with { Exercise = records[1].Exercise with { Companions = [records[0].Exercise.Channel] } }];
        var without = SimulatedRun.Dome with { Channels = SimulatedRun.Dome.Channels.Remove(records[0].Exercise.Channel) };
        var read = Read(CaptureCodec.Encode(accompanied, []), without);
        Assert.Equal(records.Skip(1).Select(record => record.Exercise.Channel.Name), read.Records.Select(record => record.Exercise.Channel.Name));
    }

    [Property(Replay = Seed, MaxTest = 300)]
    public Property Figures_are_read_back_with_their_series() => Prop.ForAll(Seeds, seed =>
    {
        var random = new Random(seed);
        ImmutableArray<(int, long)> figures =
            [.. Enumerable.Range(0, 60).Where(_ => random.Next(4) > 0).Select(series => (series, random.Next(9) switch { 0 => long.MinValue, 1 => long.MaxValue, 2 => 0, _ => random.NextInt64(-10_000_000, 10_000_000) }))];
        return FigurePack.Unpack(FigurePack.Pack(figures)).SequenceEqual(figures);
    });

    /// <summary>By hand: none left out, three of them, 0, -1 and 300; then two left out, one of them, 64.</summary>
    [Fact]
    public void Figures_take_the_bytes_that_their_form_says()
    {
        byte[] expected = [0, 3, 0, 1, 0xD8, 0x04, 2, 1, 0x80, 0x01];
        Assert.Equal(expected, FigurePack.Pack([(0, 0), (1, -1), (2, 300), (5, 64)]));
    }

    private static (ImmutableArray<ExerciseRecord> Records, ImmutableArray<Core.Diagnosing.Seen> Beside) Read(byte[] bytes, Board board) => CaptureCodec.Decode(bytes, board, "The captures of this test");

    private static bool IsRefused(byte[] bytes) => Record.Exception(() => Read(bytes, SimulatedRun.Dome)) is RunStorageException;
}
