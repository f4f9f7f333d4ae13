using System.Collections.Immutable;
using System.Text;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Recordings;

/// <summary>What a sweep wrote down of each channel, judged from the dump: just as the sweep judged it.</summary>
public class StatedCaptureTests
{
    private static readonly Core.Boards.Board _lamps = LampRecording.Board();

    [Theory]
    [InlineData("dome-drive", false)]
    [InlineData("dome-drive", false, "OK3=dead")]
    [InlineData("dome-drive", false, "OK2=slow:3x")]
    [InlineData("dome-drive", false, "OK1=weak")]
    [InlineData("dome-drive", false, "U3:9=inverted")]
    [InlineData("dome-drive", false, "U3:18=stuck-low")]
    [InlineData("dome-drive", false, "U3:18=weak")]
    [InlineData("dome-drive", false, "U3=no-supply")]
    [InlineData("dome-drive", false, "line:rotate-left=dead")]
    [InlineData("dome-drive", false, "lead:U3.18+U3.16=swapped")]
    [InlineData("dome-drive", false, "net:U3.18+U3.16=bridged")]
    [InlineData("dome-drive", true)]
    [InlineData("dome-drive", true, "home-switch=bouncing")]
    [InlineData("dome-drive", true, "Q4=dead")]
    [InlineData("dome-drive", true, "shutter-open-limit=active")]
    [InlineData("tide-gauge", false)]
    [InlineData("tide-gauge", false, "K4=bouncing")]
    [InlineData("tide-gauge", false, "Q2=weak")]
    [InlineData("tide-gauge", false, "U1=no-supply")]
    [InlineData("carillon", false)]
    [InlineData("carillon", false, "Q2=dead")]
    [InlineData("carillon", true)]
    public async Task Each_channel_is_found_as_the_sweep_found_it(string profile, bool motion, params string[] faults)
    {
        var board = DemoBoards.Load(profile);
        var options = new SweepOptions(motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
        var sweep = await DemoBoards.MeasureAsync(board, 1, options, faults);
        AssertSame(board, sweep);
    }

    [Theory]
    [InlineData("tide-gauge")]
    [InlineData("tide-gauge", "K4=dead")]
    [InlineData("dome-drive")]
    public async Task So_is_one_that_was_swept_beside_others(string profile, params string[] faults)
    {
        var board = DemoBoards.Load(profile);
        var sweep = await DemoBoards.MeasureAsync(board, 1, new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true) { Together = true }, faults);
        AssertSame(board, sweep);
    }

    private static void AssertSame(Core.Boards.Board board, SweepResult sweep)
    {
        var exercised = sweep.Channels.Where(channel => channel.Record is not null).ToList();
        Assert.NotEmpty(exercised);
        foreach (var channel in exercised)
        {
            var again = Judged(board, Written(channel)).Channels.Single(other => other.Channel.Name == channel.Channel.Name);
            Assert.Equal(channel.Condition, again.Condition);
            // Of several exercises the dump has what all saw, on the axis of one; which one timed each change best it cannot have.
            if (channel.Exercises > 1)
                continue;
            Assert.Equal(channel.Summary, again.Summary);
            Assert.Equal(channel.Findings.Select(finding => finding.Words), again.Findings.Select(finding => finding.Words));
            Assert.Equal(channel.Findings.Select(finding => (finding.TestPoint, finding.Verdict, finding.Timing, finding.Delay, finding.StandardUncertainty, finding.Level)), again.Findings.Select(finding => (finding.TestPoint, finding.Verdict, finding.Timing, finding.Delay, finding.StandardUncertainty, finding.Level)));
        }
    }

    /// <summary>Whatever a capture is, with gaps over changes and at its beginning.</summary>
    [Fact]
    public void What_is_written_comes_back_to_the_picosecond()
    {
        for (var seed = 0; seed < 300; seed++)
        {
            var (exercise, capture) = Some(new Random(seed));
            var record = Read(CaptureVcd.Write(_heading, capture, exercise));
            var again = Assert.Single(record.Captures);
            Assert.Equal(
                (capture.Tick, capture.Resolution, capture.ClockTolerance, capture.End, capture.Ending), (again.Tick, again.Resolution, again.ClockTolerance, again.End, again.Ending));
            Assert.Equal(capture.Signals.Select(signal => (signal.Name, signal.Initial)), again.Signals.Select(signal => (signal.Name, signal.Initial)));
            Assert.Equal(capture.Signals.Select(signal => signal.Changes.ToArray()), again.Signals.Select(signal => signal.Changes.ToArray()));
            Assert.Equal(capture.Gaps.OrderBy(gap => gap.From), again.Gaps.OrderBy(gap => gap.From));
            Assert.Equal(capture.Levels.OrderBy(level => level.At), again.Levels.OrderBy(level => level.At));
            Assert.Equal((exercise.Channel.Name, exercise.Mode, exercise.OnAt, exercise.OffAt), (record.Exercise.Channel.Name, record.Exercise.Mode, record.Exercise.OnAt, record.Exercise.OffAt));
            Assert.Equal(exercise.Readings.ToArray(), record.Exercise.Readings.ToArray());
            Assert.Equal(exercise.Companions.Select(channel => channel.Name), record.Exercise.Companions.Select(channel => channel.Name));
        }
    }

    /// <summary>A dump that another program left a part of is refused, or what it lacks could pass for quiet.</summary>
    [Theory]
    [InlineData("gap ", "unknown from here on")]
    [InlineData("ended ", "how the capture ended")]
    [InlineData("change ", "does not follow")]
    public void Without_one_of_its_statements_it_is_refused(string statement, string words)
    {
        string[] changes = statement == "change " ? [] : [$"$comment {CaptureStatements.Mark} {statement}"];
        var text = CaptureVcd.Write(_heading, _pulse, _exercise);
        text = statement == "change " ? text.Replace("change U1.18 1", "change U1.18 0", StringComparison.Ordinal)
            : string.Join('\n', text.Split('\n').Where(line => !changes.Any(left => line.StartsWith(left, StringComparison.Ordinal))));
        Assert.Contains(words, Assert.Throws<RecordingException>(() => Judged(_lamps, text)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Cut_off_it_is_refused_and_so_is_one_of_another_board()
    {
        var text = CaptureVcd.Write(_heading, _pulse, _exercise);
        Assert.Equal(Condition.Working, Judged(_lamps, text).Channels[0].Condition);
        var end = text.LastIndexOf('#');
        Assert.Contains("the dump ends at", Assert.Throws<RecordingException>(() => Judged(_lamps, text[..end])).Message, StringComparison.Ordinal);
        var other = text.Replace($"{CaptureStatements.Heading} lamp-1", $"{CaptureStatements.Heading} lamp-l", StringComparison.Ordinal);
        Assert.Contains("did you mean 'lamp-1'?", Assert.Throws<RecordingException>(() => Judged(_lamps, other)).Message, StringComparison.Ordinal);
    }

    /// <summary>A voltage was to be read and was not: what was not measured is no pass, though its wire did all it should.</summary>
    [Fact]
    public void A_planned_reading_that_did_not_come_is_no_pass()
    {
        var text = CaptureVcd.Write(_heading, _pulse, _exercise with { Readings = [new(Duration.FromMilliseconds(2), "U1.18")] });
        Assert.Equal(Condition.NotTested, Judged(_lamps, text).Channels[0].Condition);
    }

    /// <summary>A voltage that its adapter could not tell from the limit of 2 V is not told from it here either.</summary>
    [Theory]
    [InlineData(0.2, Condition.NotTested)]
    [InlineData(0.01, Condition.Working)]
    public void A_voltage_is_as_uncertain_as_it_was(double reference, Condition condition)
    {
        LevelReading At(int milliseconds, double volts) =>
            LevelReading.With("U1.18", Instant.Start + Duration.FromMilliseconds(milliseconds), new(volts), new(volts), new(volts), 8, new(volts < 1 ? 0.01 : reference, 0, 0, 0));
        var exercise = _exercise with { Readings = [new(Duration.FromMilliseconds(2), "U1.18"), new(Duration.FromMilliseconds(5), "U1.18")] };
        var text = CaptureVcd.Write(_heading, _pulse with { Levels = [At(2, 2.1), At(5, 0.2)] }, exercise);
        Assert.Equal(condition, Judged(_lamps, text).Channels[0].Condition);
    }

    /// <summary>Some capture of the lamps, written out.</summary>
    internal static string SomeText(int seed)
    {
        var (exercise, capture) = Some(new Random(seed));
        return CaptureVcd.Write(_heading, capture, exercise);
    }

    private static readonly CaptureHeading _heading = new("Card", "lamp-1", "adapter", DateTimeOffset.UnixEpoch, "0.1.0");

    private static readonly Exercise _exercise = new(_lamps.Channels[0], ExerciseMode.LogicOnly, Duration.FromMilliseconds(1), Duration.FromMilliseconds(3), []);

    /// <summary>A command of 2 ms that arrives within a look, with a gap for voltages while it is on.</summary>
    private static readonly Capture _pulse = new(
        new(62_500), new(1_000_000), 0, Instant.Start + Duration.FromMilliseconds(6),
        [
            new("P1.1", Level.Low, [Rises(1_001, Level.High), Rises(3_001, Level.Low)]),
            new("P1.2", Level.Low, []),
            new("U1.18", Level.Low, [Rises(1_001, Level.High) with { After = Instant.Start + Duration.FromMicroseconds(999) }, Rises(3_001, Level.Low)]),
            new("U1.16", Level.Low, []),
        ],
        [new(Instant.Start + Duration.FromMicroseconds(2_000), Instant.Start + Duration.FromMicroseconds(2_200), GapReason.MeasuringLevels)],
        [], new(CaptureOutcome.Complete, null));

    private static Change Rises(long microseconds, Level level) => new(Instant.Start + Duration.FromMicroseconds(microseconds - 1), Instant.Start + Duration.FromMicroseconds(microseconds), level);

    private static string Written(ChannelResult channel) => CaptureVcd.Write(_heading, channel.Capture!, channel.Record!.Exercise);

    private static SweepResult Judged(Core.Boards.Board board, string text) =>
        LampRecording.Judge("capture.vcd", Encoding.ASCII.GetBytes(text), board, new(ExerciseMode.LogicOnly), diagnose: false).Sweep;

    private static ExerciseRecord Read(string text)
    {
        using var recording = new VcdRecording(new MemoryStream(Encoding.ASCII.GetBytes(text)), "capture.vcd", _lamps, resolution: null);
        return recording.Stated!.Read(_lamps);
    }

    private static (Exercise Exercise, Capture Capture) Some(Random random)
    {
        const int Steps = 2_000;
        var tick = new Duration(random.Next(2) == 0 ? 1 : 62_500);
        Instant At(long step) => Instant.Start + (tick * step);
        Signal Signal(string name)
        {
            var (level, step, changes) = (random.Next(2) == 0 ? Level.Low : Level.High, 0L, ImmutableArray.CreateBuilder<Change>());
            var initial = level;
            while (random.Next(8) > 0 && step < Steps - 300)
            {
                var before = step;
                step += random.Next(1, 200);
                level = level.Inverted();
                changes.Add(new(At(random.Next(2) == 0 ? before : Math.Max(0, step - 3)), At(step), level));
            }
            return new(name, initial, changes.ToImmutable());
        }
        Gap Gap(GapReason reason)
        {
            var from = random.Next(3) == 0 ? 0 : random.Next(Steps - 1);
            return new(At(from), At(random.Next(from + 1, Steps)), reason);
        }
        LevelReading Level_(string name) => random.Next(2) == 0
            ? LevelReading.With(name, At(random.Next(Steps)), new(random.NextDouble() * 5), new(0.1), new(4.9), 8, new(random.NextDouble(), 0.002, 0.01, 0.001, random.NextDouble()))
            : new(name, At(random.Next(Steps)), new(random.NextDouble() * 5), new(0.1), new(4.9), 8, new(0.5)) { SharedUncertainty = new(random.NextDouble() / 3) };
        var capture = new Capture(
            tick, tick * 3, random.NextDouble() / 100, At(Steps), [.. new[] { "P1.1", "P1.2", "U1.18", "U1.16" }.Select(Signal)],
            [.. Enum.GetValues<GapReason>().Where(_ => random.Next(3) == 0).Select(Gap).DistinctBy(gap => gap.From)],
            [.. new[] { "U1.18", "U1.16", "U1.18" }.Where(_ => random.Next(2) == 0).Select(Level_).DistinctBy(level => level.At)],
            random.Next(2) == 0 ? new(CaptureOutcome.Complete, null) : new(CaptureOutcome.StopInput, "U1.16"));
        var exercise = new Exercise(_lamps.Channels[0], random.Next(2) == 0 ? ExerciseMode.Motion : ExerciseMode.LogicOnly, tick * random.Next(100), tick * random.Next(200, 900), [new(tick * random.Next(900), "U1.18")])
        {
            Companions = random.Next(2) == 0 ? [] : [_lamps.Channels[1]],
        };
        return (exercise, capture);
    }
}
