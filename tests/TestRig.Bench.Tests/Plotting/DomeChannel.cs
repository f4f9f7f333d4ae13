using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Plotting;

/// <summary>
/// The shutter-open channel of the invented dome drive interface card, and results as a capture of the reference adapter and a judge would give them.
/// </summary>
internal static class DomeChannel
{
    public static readonly Duration Resolution = Duration.FromNanoseconds(1_312) + new Duration(500);
    public static readonly Duration Tick = new(62_500);
    public static readonly Instant On = At(2_000);
    public static readonly Instant Off = At(40_000);

    private static readonly Supply Logic = new("logic", new(5), 0.05, null, Motion: false);
    private static readonly Supply Isolated = new("isolated", new(12), 0.1, null, Motion: false);

    private static readonly BufferType Ls240 = new(
        "74LS240", "octal inverting buffer", "invented for this test", Inverting: true,
        [new("6", "14", "1")], Typical(9), Typical(12), LevelLimits.Ttl, new(0.5), new(2.4));

    private static readonly IsolatorType Opto = new(
        "4N25", "phototransistor isolator", "invented for this test", "1", "2", "5", "4",
        new(1.15), 0.2, new(0.5), new(0.06), Typical(5_000), Typical(100_000), 0, new(0), Duration.Zero);

    private static readonly DriverType HighSide = new(
        "BD140", "PNP high-side driver", "invented for this test", HighSide: true, Typical(2_000), Typical(8_000));

    public static Channel Channel(bool withOpenLead = false)
    {
        var line = new Line("shutter-open", "D24", Level.High, Motion: true, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), "RN1");
        var buffer = new BufferSection("6", "14", "1");
        return new(
            "shutter-open",
            line,
            Point("J1.6", "D24"),
            [
                StageModel.Of(new BufferPart("U3", Ls240, Logic), buffer, Point("U3.14", "A2")),
                StageModel.Of(new BufferPart("U4", Ls240, Logic), buffer, withOpenLead ? null : Point("U4.14", "D35")),
                StageModel.Of(new IsolatorPart("OK3", Opto, Logic, new(220), Isolated, new(10_000), TakenAtCollector: true), Point("OK3.5", "A8")),
                StageModel.Of(new DriverPart("Q3", HighSide, Isolated), Point("Q3.C", "D50")),
            ],
            [
                new PulseFeedback(Point("shutter-encoder", "D31"), 6, 10, Duration.FromMilliseconds(400)),
                new SwitchFeedback(Point("home-switch", "D13"), 10, Duration.FromMilliseconds(5)),
            ],
            Duration.FromMilliseconds(400),
            "shutter-close");
    }

    /// <summary>Everything as it should be, motor supply off.</summary>
    public static ChannelResult Healthy() => Logical(Condition.Working, "Working: every transition came within its window.");

    /// <summary>The isolator never turns on.</summary>
    public static ChannelResult DeadIsolator() =>
        Logical(Condition.Dead, "Dead: OK3.5 stays high although U4.14 falls.", silentFrom: 2, stuckAt: 12.0);

    /// <summary>The second buffer's output stays low, whatever comes in.</summary>
    public static ChannelResult StuckBuffer() =>
        Logical(Condition.StuckLow, "Stuck low: U4.14 is low at idle and stays low.", silentFrom: 1, stuckAt: 0.2);

    /// <summary>The isolator turns on eight times as late as it typically does.</summary>
    public static ChannelResult SlowIsolator() =>
        Logical(Condition.Slow, "Slow: OK3.5 falls 40 µs after U4.14, 10 µs are allowed.", isolatorOn: 40);

    /// <summary>The first buffer's output reaches a voltage that its receiver may take for either level.</summary>
    public static ChannelResult WeakBuffer() =>
        Logical(Condition.Weak, "Weak: U3.14 reaches 1.40 V, its receiver needs 2.0 V.", bufferHigh: 1.4);

    /// <summary>No lead at the second buffer's output, and the isolator is dead: the fault is one of two parts.</summary>
    public static ChannelResult DeadBehindAnOpenLead() =>
        Logical(Condition.Dead, "Dead: OK3.5 stays high although U3.14 rises.", silentFrom: 2, stuckAt: 12.0, openLead: true);

    /// <summary>Motion mode: the shutter moves, and the home switch bounces longer than it may.</summary>
    public static ChannelResult BouncingHomeSwitch()
    {
        var channel = Channel();
        var on = Millis(20);
        var off = Millis(420);
        var random = new Random(7);
        var pulses = ImmutableArray.CreateBuilder<Change>();
        for (var i = 0; i < 8; i++)
        {
            var falls = on + Duration.FromMilliseconds(32 + (50 * i));
            if (falls >= off)
                break;
            pulses.Add(Seen(falls, Level.Low));
            pulses.Add(Seen(falls + Duration.FromMilliseconds(6), Level.High));
        }
        var contact = ImmutableArray.CreateBuilder<Change>();
        var first = on + Duration.FromMilliseconds(201);
        var at = first;
        var level = Level.Low;
        for (var i = 0; i < 23; i++)
        {
            contact.Add(Seen(at, level));
            level = level.Inverted();
            at += Duration.FromMicroseconds(i % 5 == 4 ? 900 : random.Next(40, 420));
        }
        var signals = Path(on, off, 5, 100, silentFrom: 99, stuckHigh: false, openLead: false);
        var capture = new Capture(
            Tick, Resolution, 0.005, Millis(480),
            [.. signals, new("shutter-encoder", Level.High, pulses.ToImmutable()), new("home-switch", Level.High, contact.ToImmutable())],
            [], [], new(CaptureOutcome.Complete, null));
        var findings = PathFindings(on, off, 5, 100, silentFrom: 99, openLead: false);
        findings.Add(Other("shutter-encoder", Expectation.Pulses, Verdict.Conforms, "8 pulses within 400 ms, 6 to 10 are expected") with { CauseAt = on });
        var bounce = Other("home-switch", Expectation.Settles, Verdict.Bouncing, "22 extra transitions, settled after 7.6 ms; 10 and 5 ms are allowed") with
        {
            ObservedAt = first,
            Bounces = 22,
        };
        findings.Add(bounce);
        return new(channel, Condition.Bouncing, [.. findings], bounce, [], capture, "Bouncing: home-switch does not settle within 5 ms.");
    }

    public static Instant At(long microseconds) => Instant.Start + Duration.FromMicroseconds(microseconds);

    public static Instant Millis(long milliseconds) => At(milliseconds * 1_000);

    /// <summary>A change as the sampling adapter sees it: somewhere within one resolution around the true instant.</summary>
    public static Change Seen(Instant truth, Level level)
    {
        var after = truth - Resolution.Scaled(0.4);
        return new(after, after + Resolution, level);
    }

    private static ChannelResult Logical(
        Condition condition, string summary, int silentFrom = 99, double stuckAt = 0, long isolatorOn = 5, double bufferHigh = 3.41, bool openLead = false)
    {
        const long isolatorOff = 100;
        var signals = Path(On, Off, isolatorOn, isolatorOff, silentFrom, stuckAt > 2, openLead);
        var gapFrom = At(10_000);
        var gapTo = At(22_000);
        ImmutableArray<LevelReading> levels =
        [
            Reading("U3.14", 10_200, bufferHigh),
            Reading("OK3.5", 12_000, silentFrom == 2 ? stuckAt : 0.21),
            Reading("Q3.C", 14_000, silentFrom == 2 ? 0.02 : 11.8),
        ];
        var capture = new Capture(
            Tick, Resolution, 0.005, Millis(60), [.. signals], [new(gapFrom, gapTo, GapReason.MeasuringLevels)], levels, new(CaptureOutcome.Complete, null));
        var findings = PathFindings(On, Off, isolatorOn, isolatorOff, silentFrom, openLead);
        if (bufferHigh < 2)
        {
            findings.Insert(3, Other("U3.14", Expectation.HighLevel, Verdict.Weak, $"{new Volts(bufferHigh)} at U3.14 is neither low nor high") with
            {
                Stage = 0,
                Level = new Volts(bufferHigh),
            });
        }
        foreach (var point in (string[])["shutter-encoder", "home-switch"])
            findings.Add(Other(point, point == "home-switch" ? Expectation.Settles : Expectation.Pulses, Verdict.NotTested, "not applicable: motor supply off"));
        var wrong = findings.Find(finding => finding.Verdict is not (Verdict.Conforms or Verdict.NotTested or Verdict.NotResolved));
        return new(Channel(openLead), condition, [.. findings], wrong, [], capture, summary);
    }

    private static List<Signal> Path(Instant on, Instant off, long isolatorOn, long isolatorOff, int silentFrom, bool stuckHigh, bool openLead)
    {
        var us = Duration.FromMicroseconds(1);
        List<(string Name, Level Idle, Duration OnDelay, Duration OffDelay)> points =
        [
            ("J1.6", Level.High, Duration.Zero, Duration.Zero),
            ("U3.14", Level.Low, Duration.FromNanoseconds(9), Duration.FromNanoseconds(12)),
            ("U4.14", Level.High, Duration.FromNanoseconds(21), Duration.FromNanoseconds(21)),
            ("OK3.5", Level.High, us * isolatorOn, us * isolatorOff),
            ("Q3.C", Level.Low, us * (isolatorOn + 2), us * (isolatorOff + 8)),
        ];
        var signals = points
            .Select((point, index) => index > silentFrom
                ? new Signal(point.Name, index == silentFrom + 1 ? (stuckHigh ? Level.High : Level.Low) : IdleBehind(point.Idle, index, stuckHigh, silentFrom), [])
                : new Signal(point.Name, point.Idle, [Seen(on + point.OnDelay, point.Idle.Inverted()), Seen(off + point.OffDelay, point.Idle)]))
            .Where(signal => !(openLead && signal.Name == "U4.14"))
            .ToList();
        signals.Add(new("shutter-encoder", Level.High, []));
        signals.Add(new("home-switch", Level.High, []));
        return signals.Where(signal => signal.Name is not ("shutter-encoder" or "home-switch") || off < Millis(100)).ToList();
    }

    /// <summary>Behind a buffer stuck low the LED is lit for good; behind a dead isolator everything idles.</summary>
    private static Level IdleBehind(Level idle, int index, bool stuckHigh, int silentFrom) =>
        silentFrom == 1 && !stuckHigh && index >= 3 ? idle.Inverted() : idle;

    private static List<Finding> PathFindings(Instant on, Instant off, long isolatorOn, long isolatorOff, int silentFrom, bool openLead)
    {
        var channel = Channel(openLead);
        var findings = new List<Finding>();
        foreach (var (edge, active, opto, driver) in ((Instant, bool, long, long)[])[(on, true, isolatorOn, 2), (off, false, isolatorOff, 8)])
        {
            var line = active ? Level.Low : Level.High;
            findings.Add(Transition("J1.6", -1, line, Verdict.Conforms, Timing.Conforms, null, null, edge, null, null));
            var cause = "J1.6";
            var causeAt = edge;
            var earlier = new DelayRange(Duration.Zero, Duration.Zero, "");
            for (var i = 0; i < channel.Stages.Length; i++)
            {
                var stage = channel.Stages[i];
                var level = channel.LevelAfter(i, line);
                var range = earlier + stage.DelayTo(level);
                if (stage.Output is null)
                {
                    findings.Add(Transition(stage.OutputName, i, level, Verdict.NotTested, null, cause, null, null, null, null));
                    earlier = range;
                    continue;
                }
                earlier = new DelayRange(Duration.Zero, Duration.Zero, "");
                if (i >= silentFrom)
                {
                    findings.Add(Transition(stage.OutputName, i, level, Verdict.Absent, null, cause, i == silentFrom ? causeAt : null, null, range.Earliest, range.Latest));
                    cause = stage.OutputName;
                    continue;
                }
                var delay = i switch
                {
                    0 => Duration.FromNanoseconds(active ? 9 : 12),
                    1 => Duration.FromNanoseconds(active ? 12 : 9),
                    2 => Duration.FromMicroseconds(opto),
                    _ => Duration.FromMicroseconds(driver),
                };
                var late = delay > range.Latest;
                var timing = late ? Timing.Violates : i < 2 ? Timing.NotResolved : Timing.Conforms;
                findings.Add(Transition(
                    stage.OutputName, i, level, late ? Verdict.Late : Verdict.Conforms, timing, cause, causeAt, causeAt + delay, range.Earliest, range.Latest));
                causeAt += delay;
                cause = stage.OutputName;
            }
        }
        // In path order, as the judge gives them.
        return [.. findings.OrderBy(finding => finding.Stage)];
    }

    private static Finding Transition(
        string point, int stage, Level arrives, Verdict verdict, Timing? timing, string? cause, Instant? causeAt, Instant? observedAt, Duration? earliest, Duration? latest) =>
        new(
            point, stage, arrives == Level.High ? Expectation.Rises : Expectation.Falls, verdict, timing, cause, causeAt, observedAt,
            observedAt - causeAt, earliest, latest, Resolution.Scaled(1 / Math.Sqrt(6)), 0, null, null, $"{point} {arrives.ArrivalWord()}: {verdict}")
        {
            Measured = causeAt is { } from && observedAt is { } to ? Measured(from, to, Resolution) : null,
        };

    /// <summary>A delay between two looks of this width, by a clock that is right.</summary>
    public static MeasuredDelay Measured(Instant from, Instant to, Duration width)
    {
        var half = new Duration(width.Picoseconds / 2);
        return MeasuredDelay.Between(new(from - half, from + half, Level.High), new(to - half, to + half, Level.High), clockTolerance: 0);
    }

    private static Finding Other(string point, Expectation expected, Verdict verdict, string words) =>
        new(point, null, expected, verdict, null, null, null, null, null, null, null, null, 0, null, null, words);

    private static LevelReading Reading(string signal, long microseconds, double volts) =>
        new(signal, At(microseconds), new(volts), new(volts - 0.01), new(volts + 0.01), 16, new(0.02));

    private static DelayLimits Typical(long nanoseconds) =>
        new(null, Duration.FromNanoseconds(nanoseconds), null, "invented for this test");

    private static TestPoint Point(string name, string pin) => new(name, pin, null, null);
}
