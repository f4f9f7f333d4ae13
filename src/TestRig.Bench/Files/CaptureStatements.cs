using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Files;

/// <summary>
/// What a dump of ours says in comments (IEEE 1364-2005 clause 18.2.3.1: any text) of what its values cannot tell: what was planned, when nothing was looked at and why, what is known of a change beyond its look, and how
/// well a voltage is known. Words between blanks; the first is <see cref="Mark"/>. Times are whole picoseconds, names those of the profile.
/// </summary>
/// <remarks>
/// <code>
/// testrig-capture/1 CHANNEL MODE on PS off PS tick PS resolution PS clock FRACTION end PS   in front of $enddefinitions
/// testrig-capture ended OUTCOME [POINT]
/// testrig-capture beside CHANNEL
/// testrig-capture reads POINT PS
/// testrig-capture gap FROM TO REASON
/// testrig-capture before POINT 0|1
/// testrig-capture change POINT 0|1 AFTER NOT-AFTER
/// testrig-capture reading POINT PS MEAN LOWEST HIGHEST SAMPLES (REFERENCE STEP CONVERTER SPREAD RESISTOR | STANDARD SHARED)
/// </code>
/// A wire that goes from one level to the other without a statement made one change, within the resolution before its stamp.
/// </remarks>
public static class CaptureStatements
{
    public const string Mark = "testrig-capture";

    /// <summary>The first words of the statement that stands among the declarations.</summary>
    public const string Heading = Mark + "/1";

    public const string Ended = "ended", Beside = "beside", Reads = "reads", InGap = "gap", Before = "before", Changed = "change", Reading = "reading";

    internal static string Of(Exercise exercise, Capture capture) => Line(
        Heading, exercise.Channel.Name, KebabWord.Of(exercise.Mode), "on", exercise.OnAt.Picoseconds, "off", exercise.OffAt.Picoseconds,
        "tick", capture.Tick.Picoseconds, "resolution", capture.Resolution.Picoseconds, "clock", capture.ClockTolerance, "end", capture.End.Picoseconds);

    /// <summary>What is said once, in front of all values.</summary>
    internal static IEnumerable<string> OfWhole(Exercise exercise, Capture capture)
    {
        yield return capture.Ending.StoppedBy is { } by ? Line(Mark, Ended, KebabWord.Of(capture.Ending.Outcome), by) : Line(Mark, Ended, KebabWord.Of(capture.Ending.Outcome));
        foreach (var companion in exercise.Companions)
            yield return Line(Mark, Beside, companion.Name);
        foreach (var reading in exercise.Readings)
            yield return Line(Mark, Reads, reading.TestPoint, reading.At.Picoseconds);
    }

    internal static string Of(Gap gap) => Line(Mark, InGap, gap.From.Picoseconds, gap.To.Picoseconds, KebabWord.Of(gap.Reason));

    internal static string OfInitial(Signal signal) => Line(Mark, Before, signal.Name, Digit(signal.Initial));

    internal static string Of(Signal signal, Change change) => Line(Mark, Changed, signal.Name, Digit(change.Level), change.After.Picoseconds, change.NotAfter.Picoseconds);

    internal static string Of(LevelReading level)
    {
        object[] known = level.Unknowns is { } unknowns
            ? [unknowns.Reference, unknowns.Step, unknowns.Converter, unknowns.Spread, unknowns.Resistor]
            : [level.StandardUncertainty.Value, level.SharedUncertainty.Value];
        return Line([Mark, Reading, level.Signal, level.At.Picoseconds, level.Mean.Value, level.Minimum.Value, level.Maximum.Value, level.Samples, .. known]);
    }

    /// <summary>Null where those numbers are not of a reading.</summary>
    internal static LevelReading? ReadingOf(string point, Instant at, ImmutableArray<double> numbers) => numbers switch
    {
        [var mean, var lowest, var highest, >= 1 and < int.MaxValue and var samples, var reference, var step, var converter, var spread, var resistor] =>
            LevelReading.With(point, at, new(mean), new(lowest), new(highest), (int)samples, new(reference, step, converter, spread, resistor)),
        [var mean, var lowest, var highest, >= 1 and < int.MaxValue and var samples, var standard, var shared] =>
            new(point, at, new(mean), new(lowest), new(highest), (int)samples, new(standard)) { SharedUncertainty = new(shared) },
        _ => null,
    };

    /// <summary>The earliest instant of a change of which nothing else is said.</summary>
    internal static Instant Usual(Instant stamp, Duration resolution) => Instant.Max(Instant.Start, stamp - resolution);

    private static int Digit(Level level) => level == Level.High ? 1 : 0;

    private static string Line(params ReadOnlySpan<object> words)
    {
        var parts = new List<string>(words.Length);
        foreach (var word in words)
            parts.Add(word is double number ? number.ToString("R", CultureInfo.InvariantCulture) : string.Create(CultureInfo.InvariantCulture, $"{word}"));
        return string.Join(' ', parts);
    }
}
