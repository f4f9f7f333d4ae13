using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Judging;

/// <summary>What holds of every capture, whatever it shows: points that answer early, late, the wrong way, several times or not at all, other channels that move, voltages, gaps.</summary>
public class JudgedCaptureProperties
{
    private static readonly Channel _channel = Some.Board().Channels[0];

    private static readonly Exercise _exercise = Some.Exercise(_channel, ExerciseMode.LogicOnly, "A1");

    /// <summary>An instant, in microseconds: of the command's two edges, and of the end.</summary>
    private static readonly double _on = _exercise.OnAt.ToSeconds() * 1e6, _off = _exercise.OffAt.ToSeconds() * 1e6, _end = Some.EndOf(_exercise).SinceStart.ToSeconds() * 1e6;

    /// <summary>A finer or a coarser clock, with everything that it counts as much longer, is no other board: only ratios of times decide.</summary>
    [Property(MaxTest = 300)]
    public Property Scaling_all_times_by_the_tick_leaves_verdicts_unchanged() =>
        Prop.ForAll(Captures().ToArbitrary(), Gen.Choose(2, 2_000).ToArbitrary(), (capture, factor) =>
        {
            var plain = Told(Judge(_channel, _exercise, capture));
            var (channel, exercise) = (Scaled(_channel, factor), Scaled(_exercise, factor));
            return (plain == Told(Judge(channel, exercise with { Channel = channel }, Scaled(capture, factor)))).Label(plain);
        });

    /// <summary>
    /// While a transition is waited for, looking ended against the plan. Whatever is broken, and whatever was seen before and after, it did not come as it should: nobody knows.
    /// </summary>
    [Property(MaxTest = 300)]
    public Property A_fault_never_makes_conforms_of_a_gap() =>
        Prop.ForAll(Captures().ToArbitrary(), Gaps().ToArbitrary(), (capture, gap) =>
        {
            var result = Judge(_channel, _exercise, capture with { Gaps = [gap] });
            var whileOn = gap.To <= Some.At(_off);
            var awaited = result.Findings.Where(finding => finding.Stage >= 0
                && finding.Expected == (_channel.LevelAfter(finding.Stage.Value, whileOn ? _channel.Line.Active : _channel.Line.Idle) == Level.High ? Expectation.Rises : Expectation.Falls)).ToList();
            return (result.Condition != Condition.Working).Label("working")
                .And((awaited.Count == _channel.Stages.Length).Label("every stage is judged"))
                .And(awaited.TrueForAll(finding => finding.Verdict != Verdict.Conforms).Label(Told(result)));
        });

    /// <summary>A point of another channel that stays where it is tells nothing: captures with and without its lead are judged alike.</summary>
    [Property(MaxTest = 300)]
    public Property Adding_a_quiet_point_changes_nothing() =>
        Prop.ForAll(Captures().ToArbitrary(), Gen.Elements(Level.Low, Level.High).ToArbitrary(), (capture, level) =>
        {
            var more = capture with { Signals = capture.Signals.Add(new("U3.16", level, [])) };
            var plain = Told(Judge(_channel, _exercise, capture));
            return (plain == Told(Judge(_channel, _exercise, more))).Label(plain);
        });

    /// <summary>The line's pin follows the command; each stage answers in some way; sometimes another channel moves, a voltage was read, or looking stopped.</summary>
    private static Gen<Capture> Captures() =>
        from signals in Gen.CollectToArray(Enumerable.Range(0, _channel.Stages.Length), Signals)
        from restless in Gen.Frequency((4, Gen.Constant(false)), (1, Gen.Constant(true)))
        from voltages in Gen.ArrayOf(Gen.Choose(0, 50), 2)
        from gaps in Gen.Frequency((3, Gen.Constant<Gap[]>([])), (1, Gaps().Select(gap => new[] { gap })))
        select Some.Capture(
            _exercise,
            [
                new(_channel.DrivenAt.Name, _channel.Line.Idle, [Some.Change(_on, _channel.Line.Active), Some.Change(_off, _channel.Line.Idle)]),
                .. signals,
                new("U4.16", Level.High, restless ? [Some.Change(_on + 30, Level.Low), Some.Change(_off + 30, Level.High)] : []),
            ]) with
        {
            Gaps = [.. gaps],
            Levels = [.. _exercise.Readings.Zip(voltages, (reading, tenths) => new LevelReading(
                reading.TestPoint, Instant.Start + reading.At, new(tenths / 10.0), new(tenths / 10.0), new(tenths / 10.0), 8, new(0.04)))],
        };

    /// <summary>Instants at which a stage's output changes, from whatever level; most often as it should.</summary>
    private static Gen<Signal> Signals(int stage)
    {
        var idle = _channel.LevelAfter(stage, _channel.Line.Idle);
        var good = Some.GoodDelays[stage]!.Value;
        var asItShould = Gen.Constant(new[] { _on + good.On, _off + good.Off });
        var late = Gen.Choose(0, 400).Two().Select(delays => new[] { _on + 0.1 + delays.Item1, _off + 0.1 + delays.Item2 });
        var anyhow = Gen.Choose(0, 6).SelectMany(count => Gen.ArrayOf(Gen.Choose(100, (int)_end - 100), count)).Select(instants => instants.Distinct().Order().Select(at => (double)at).ToArray());
        return from instants in Gen.Frequency((6, asItShould), (3, late), (2, anyhow), (1, Gen.Constant<double[]>([])))
               from initial in Gen.Frequency((5, Gen.Constant(idle)), (1, Gen.Constant(idle.Inverted())))
               from look in Gen.Elements(1.3, 1.3, 9.5)
               select new Signal(_channel.Stages[stage].OutputName, initial, [.. instants.Select((at, index) => Some.Change(at, index % 2 == 0 ? initial.Inverted() : initial, look))]);
    }

    /// <summary>Against the plan, at any time while the line was on, or behind that.</summary>
    private static Gen<Gap> Gaps() =>
        from reason in Gen.Elements(GapReason.NoRoomForChanges, GapReason.HostLate)
        from whileOn in Gen.Elements(true, false)
        from first in Gen.Choose(1, 9_999)
        from second in Gen.Choose(1, 9_999)
        where first != second
        let within = (Begin: whileOn ? _on : _off, Length: whileOn ? _off - _on : _end - _off)
        select new Gap(Some.At(within.Begin + (within.Length * Math.Min(first, second) / 10_000)), Some.At(within.Begin + (within.Length * Math.Max(first, second) / 10_000)), reason);

    private static ChannelResult Judge(Channel channel, Exercise exercise, Capture capture) =>
        Some.Judge(Some.Board() with { Channels = [channel, .. Some.Board().Channels.Skip(1)] }, exercise, capture);

    private static string Told(ChannelResult result) =>
        $"{result.Condition}: {string.Join(", ", result.Findings.Select(finding => $"{finding.TestPoint} {finding.Expected} {finding.Verdict} {finding.Timing} {finding.Bounces}"))}";

    private static Channel Scaled(Channel channel, int by) => channel with
    {
        Stages = [.. channel.Stages.Select(stage => stage with
        {
            Rise = Scaled(stage.Rise, by),
            Fall = Scaled(stage.Fall, by),
            Bounce = stage.Bounce is { } bounce ? bounce with { Within = bounce.Within * by } : null,
        })],
    };

    private static DelayRange Scaled(DelayRange range, int by) => range with { Earliest = range.Earliest * by, Latest = range.Latest * by };

    private static Exercise Scaled(Exercise exercise, int by) => exercise with
    {
        OnAt = exercise.OnAt * by,
        OffAt = exercise.OffAt * by,
        Readings = [.. exercise.Readings.Select(reading => reading with { At = reading.At * by })],
    };

    private static Capture Scaled(Capture capture, int by) => capture with
    {
        Tick = capture.Tick * by,
        Resolution = capture.Resolution * by,
        End = Scaled(capture.End, by),
        Signals = [.. capture.Signals.Select(signal => signal with { Changes = [.. signal.Changes.Select(change => new Change(Scaled(change.After, by), Scaled(change.NotAfter, by), change.Level))] })],
        Gaps = [.. capture.Gaps.Select(gap => gap with { From = Scaled(gap.From, by), To = Scaled(gap.To, by) })],
        Levels = [.. capture.Levels.Select(level => level with { At = Scaled(level.At, by) })],
    };

    private static Instant Scaled(Instant instant, int by) => new(instant.Picoseconds * by);
}
