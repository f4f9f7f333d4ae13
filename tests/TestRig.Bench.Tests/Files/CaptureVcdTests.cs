using System.Collections.Immutable;
using TestRig.Bench.Files;
using TestRig.Bench.Tests.Plotting;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Files;

public class CaptureVcdTests
{
    private static readonly CaptureHeading _heading = new(
        "Dome drive $end card, ±5 %", "shutter-open", "ATmega2560 at port 1, firmware 1.0", new(2026, 11, 25, 13, 0, 0, TimeSpan.Zero), "0.1.0");

    private const string Scope = "Dome_drive_$end_card,__5_%";

    /// <summary>
    /// The reader of these tests against the example of the standard. The extended values follow from the left-extension rule of 18.2.1.
    /// </summary>
    [Fact]
    public void The_reader_reads_the_example_of_the_standard()
    {
        var dump = VcdReading.Of(ClauseExample.Text);
        Assert.Equal(new string('0', 18) + "10zx1110x11100", dump["top/t1", "accumulator[31:0]"].At(505));
        Assert.Equal(new string('0', 18) + "1111000101z01x", dump["top/t1", "index"].At(505));
        Assert.Equal(new string('x', 32), dump["top/t1", "index"].At(500));
        Assert.Equal([(500, "x"), (505, "1"), (510, "0"), (520, "1"), (530, "0"), (535, "0"), (1000, "x"), (2000, "0"), (2010, "1")], dump["top/m1", "net3"].Values);
    }

    [Fact]
    public void Every_change_of_a_capture_is_at_its_look_to_the_picosecond()
    {
        var capture = DomeChannel.DeadIsolator().Capture! with { Gaps = [] };
        var dump = VcdReading.Of(CaptureVcd.Write(_heading, capture, exercise: null));
        Assert.Equal("1ps", dump.Timescale);
        Assert.Equal(capture.Signals.Length, dump.Variables.Count(variable => variable.Type == "wire"));
        foreach (var signal in capture.Signals)
        {
            var expected = signal.Changes.Select(change => (change.NotAfter.Picoseconds, Digit(change.Level))).Prepend((0, Digit(signal.Initial)));
            Assert.Equal(expected, dump[Scope, signal.Name].Values);
        }
        Assert.Equal(capture.End.Picoseconds, dump.LastTime);
    }

    [Fact]
    public void Voltages_are_reals_of_the_same_name_without_a_value_before_their_first_reading()
    {
        var capture = DomeChannel.WeakBuffer().Capture!;
        Assert.NotEmpty(capture.Levels);
        var dump = VcdReading.Of(CaptureVcd.Write(_heading, capture, exercise: null));
        foreach (var point in capture.Levels.GroupBy(level => level.Signal))
        {
            var real = dump[Scope + "/volts", point.Key];
            Assert.Equal("real", real.Type);
            Assert.Equal(
                point.Select(level => (level.At.Picoseconds, level.Mean.Value)),
                real.Values.Select(entry => (entry.At, double.Parse(entry.Value, System.Globalization.CultureInfo.InvariantCulture))));
        }
    }

    [Fact]
    public void In_a_gap_every_wire_is_x_and_stays_so_until_a_change_that_may_have_been_made_inside_was_seen()
    {
        var capture = new Capture(
            new(62_500), new(1_375_000), 0.005, At(100),
            [
                new("still", Level.High, []),
                new("inside", Level.Low, [new(At(20), At(31), Level.High)]),
                new("behind", Level.Low, [new(At(40), At(41), Level.High)]),
                new("before", Level.Low, [new(At(9), At(10), Level.High), new(At(19), At(20), Level.Low)]),
            ],
            [new(At(20), At(30), GapReason.MeasuringLevels)],
            [new("still", At(21), new(3.25), new(3.2), new(3.3), 8, new(0.01))],
            new(CaptureOutcome.StopInput, "limit-left"));
        var dump = VcdReading.Of(CaptureVcd.Write(_heading, capture, exercise: null));
        Assert.Equal([(0, "1"), (20_000_000, "x"), (30_000_000, "1")], dump[Scope, "still"].Values);
        Assert.Equal([(0, "0"), (20_000_000, "x"), (31_000_000, "1")], dump[Scope, "inside"].Values);
        Assert.Equal([(0, "0"), (20_000_000, "x"), (30_000_000, "0"), (41_000_000, "1")], dump[Scope, "behind"].Values);
        Assert.Equal([(0, "0"), (10_000_000, "1"), (20_000_000, "x"), (30_000_000, "0")], dump[Scope, "before"].Values);
        // The voltage was read in the gap: it must not vanish with the wires.
        Assert.Equal([(21_000_000, "3.25")], dump[Scope + "/volts", "still"].Values);
        Assert.Contains("stop input limit-left", dump.Comment, StringComparison.Ordinal);
    }

    [Fact]
    public void The_comment_tells_adapter_resolution_and_what_a_stamp_means()
    {
        var dump = VcdReading.Of(CaptureVcd.Write(_heading, DomeChannel.Healthy().Capture!, exercise: null));
        Assert.Contains("ATmega2560 at port 1", dump.Comment, StringComparison.Ordinal);
        Assert.Contains($"resolution {DomeChannel.Resolution.Picoseconds} ps", dump.Comment, StringComparison.Ordinal);
        Assert.Contains("at the look that saw it", dump.Comment, StringComparison.Ordinal);
    }

    /// <summary>94 codes of one character (33 to 126, clause 18.2.1), 94² of two: more signals than either adapter has.</summary>
    [Fact]
    public void Ten_thousand_signals_have_ten_thousand_codes()
    {
        ImmutableArray<Signal> signals = [.. Enumerable.Range(0, 10_000).Select(number => new Signal($"P{number}", number % 3 == 0 ? Level.High : Level.Low, []))];
        var capture = new Capture(new(1), new(1), 0, At(1), signals, [], [], new(CaptureOutcome.Complete, null));
        var dump = VcdReading.Of(CaptureVcd.Write(_heading, capture, exercise: null));
        Assert.All(signals, signal => Assert.Equal([(0, Digit(signal.Initial))], dump[Scope, signal.Name].Values));
    }

    private static string Digit(Level level) => level == Level.High ? "1" : "0";

    private static Instant At(long microseconds) => Instant.Start + Duration.FromMicroseconds(microseconds);
}
