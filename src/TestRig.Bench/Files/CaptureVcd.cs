using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Files;

/// <summary>
/// A capture as a value change dump, IEEE 1364-2005 clause 18 (four-state), for any waveform viewer. Times are whole picoseconds, so that every
/// instant is exact.
/// </summary>
/// <remarks>
/// A change stands at the look that saw it; it was made between the look before and that one. While the adapter was not looking, every wire is x. That
/// is written as changes to x, not as $dumpoff: $dumpoff ends the dump of <em>all</em> variables, and the voltages are read in just these gaps.
/// A wire whose first change behind a gap may have been made inside it stays x until the look that saw the change.
/// Every reference is an escaped identifier (clause 3.7.1: a backslash, ended by white space, neither being part of the name), since test points have names
/// such as J1.2 that are no simple identifiers. Voltages are reals in the scope "volts"; a real cannot be x, so it has no value before its first reading.
/// What values cannot tell stands in comments, so that the capture can be judged again just as it was: <see cref="CaptureStatements"/>.
/// </remarks>
public static class CaptureVcd
{
    /// <summary>Identifier codes are made of the printable characters 33 to 126 (clause 18.2.1).</summary>
    private const int FirstCode = 33;

    private const int Codes = 94;

    /// <param name="heading">What is said of the capture ahead of its data.</param>
    /// <param name="capture">Signals and levels by test-point name.</param>
    /// <param name="exercise">What was planned; null where nothing was commanded, or where nobody knows. Then the dump makes no statements, and is one of levels like any other.</param>
    public static string Write(CaptureHeading heading, Capture capture, Exercise? exercise)
    {
        var reals = capture.Levels.Select(level => level.Signal).Distinct(StringComparer.Ordinal).ToImmutableArray();
        var wireCodes = capture.Signals.Select((_, index) => CodeOf(index)).ToImmutableArray();
        var realCodes = reals.Select((name, index) => (name, code: CodeOf(capture.Signals.Length + index))).ToImmutableDictionary(entry => entry.name, entry => entry.code);
        var text = new StringBuilder();
        Declare(text, heading, capture, exercise, wireCodes, reals, realCodes);

        var events = new SortedDictionary<long, List<string>>();
        void At(Instant instant, string change)
        {
            if (!events.TryGetValue(instant.Picoseconds, out var list))
                events[instant.Picoseconds] = list = [];
            list.Add(change);
        }

        void Say(Instant instant, string statement)
        {
            if (exercise is not null)
                At(instant, Comment(statement));
        }

        foreach (var gap in capture.Gaps)
            Say(gap.From, CaptureStatements.Of(gap));
        for (var index = 0; index < capture.Signals.Length; index++)
        {
            var signal = capture.Signals[index];
            var states = States(signal, capture).ToList();
            if (states is [{ Value: 'x' }, ..])
                Say(Instant.Start, CaptureStatements.OfInitial(signal));
            foreach (var change in signal.Changes.Where(change => !IsTold(change, states, capture)))
                Say(change.NotAfter, CaptureStatements.Of(signal, change));
            foreach (var (at, value) in states)
                At(at, $"{value}{wireCodes[index]}");
        }
        foreach (var level in capture.Levels)
        {
            Say(level.At, CaptureStatements.Of(level));
            At(level.At, string.Create(CultureInfo.InvariantCulture, $"r{level.Mean.Value:R} {realCodes[level.Signal]}"));
        }

        foreach (var statement in exercise is null ? [] : CaptureStatements.OfWhole(exercise, capture))
            text.Append(Comment(statement)).Append('\n');
        // No comment may stand within the block that tells the first values.
        var atStart = events.GetValueOrDefault(0, []).ToLookup(IsComment);
        foreach (var statement in atStart[true])
            text.Append(statement).Append('\n');
        text.Append("#0\n$dumpvars\n");
        foreach (var change in atStart[false])
            text.Append(change).Append('\n');
        text.Append("$end\n");
        foreach (var (at, changes) in events.Where(entry => entry.Key > 0))
        {
            text.Append(CultureInfo.InvariantCulture, $"#{at}\n");
            foreach (var change in changes)
                text.Append(change).Append('\n');
        }
        // The last time without a change tells how long was looked.
        if (capture.End.Picoseconds > events.Keys.LastOrDefault())
            text.Append(CultureInfo.InvariantCulture, $"#{capture.End.Picoseconds}\n");
        return text.ToString();
    }

    /// <summary>True of a change that a wire shows by going from one level to the other, and that was made within the resolution before.</summary>
    private static bool IsTold(Change change, List<(Instant At, char Value)> states, Capture capture)
    {
        var shown = states.FindIndex(state => state.At == change.NotAfter);
        return shown > 0 && states[shown].Value != 'x' && states[shown - 1].Value != 'x' && change.After == CaptureStatements.Usual(change.NotAfter, capture.Resolution);
    }

    private static string Comment(string statement) => $"$comment {statement} $end";

    private static bool IsComment(string change) => change.StartsWith("$comment ", StringComparison.Ordinal);

    private static void Declare(
        StringBuilder text,
        CaptureHeading heading,
        Capture capture,
        Exercise? exercise,
        ImmutableArray<string> wireCodes,
        ImmutableArray<string> reals,
        ImmutableDictionary<string, string> realCodes)
    {
        var ending = capture.Ending.Outcome switch
        {
            CaptureOutcome.StopInput => $"Ended early by stop input {capture.Ending.StoppedBy}.",
            CaptureOutcome.HostByte => "Ended early by the host.",
            _ => "Ran to its end.",
        };
        text.Append(CultureInfo.InvariantCulture, $"$date {heading.Started:yyyy-MM-dd'T'HH:mm:sszzz} $end\n");
        text.Append(CultureInfo.InvariantCulture, $"$version TestRig {heading.ProgramVersion} $end\n");
        if (exercise is not null)
            text.Append(Comment(CaptureStatements.Of(exercise, capture))).Append('\n');
        text.Append("$comment\n");
        foreach (var line in (string[])[
            $"Board: {heading.Board}. Channel: {heading.Channel}.",
            $"Adapter: {heading.Adapter}.",
            string.Create(CultureInfo.InvariantCulture, $"Tick {capture.Tick.Picoseconds} ps, resolution {capture.Resolution.Picoseconds} ps, clock within {capture.ClockTolerance * 100:0.####} %."),
            "Each change is stamped at the look that saw it; it was made earlier, by up to the resolution and more where the adapter was busy.",
            "x: the adapter was not looking. Voltages are means, at the test point, stamped at the start of the reading; before its first one a real has no value.",
            ending])
        {
            text.Append("  ").Append(Printable(line)).Append('\n');
        }
        text.Append("$end\n$timescale 1 ps $end\n");
        text.Append("$scope module ").Append(Identifier(heading.Board)).Append(" $end\n");
        for (var index = 0; index < capture.Signals.Length; index++)
            text.Append("$var wire 1 ").Append(wireCodes[index]).Append(' ').Append(Identifier(capture.Signals[index].Name)).Append(" $end\n");
        if (!reals.IsEmpty)
        {
            text.Append("$scope module volts $end\n");
            foreach (var name in reals)
                text.Append("$var real 64 ").Append(realCodes[name]).Append(' ').Append(Identifier(name)).Append(" $end\n");
            text.Append("$upscope $end\n");
        }
        text.Append("$upscope $end\n$enddefinitions $end\n");
    }

    /// <summary>The values of one wire in time, each only where it differs from the one before.</summary>
    private static IEnumerable<(Instant At, char Value)> States(Signal signal, Capture capture)
    {
        var unseen = capture.UnseenOf(signal);
        var last = '\0';
        foreach (var at in signal.Changes.Select(change => change.NotAfter)
            .Append(Instant.Start)
            .Concat(unseen.SelectMany(gap => new[] { gap.From, gap.To }))
            .Where(instant => instant >= Instant.Start && instant <= capture.End)
            .Distinct()
            .Order())
        {
            var value = unseen.Any(gap => gap.From <= at && at < gap.To) ? 'x' : signal.LevelAt(at) == Level.High ? '1' : '0';
            if (value != last)
                yield return (at, value);
            last = value;
        }
    }

    /// <summary>Codes of one character first, then of two: every code once.</summary>
    private static string CodeOf(int index)
    {
        var code = "";
        for (var rest = index; rest >= 0; rest = (rest / Codes) - 1)
            code += (char)(FirstCode + (rest % Codes));
        return code;
    }

    private static string Identifier(string name) =>
        "\\" + string.Concat(name.Select(character => character is > ' ' and <= '~' ? character : '_'));

    /// <summary>The dump is plain text, and a comment ends at its $end.</summary>
    private static string Printable(string text) =>
        string.Concat(text.Select(character => character is >= ' ' and <= '~' and not '$' ? character : '_'));
}
