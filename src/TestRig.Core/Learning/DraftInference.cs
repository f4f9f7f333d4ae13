using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>
/// Infers from brief pulses on each line which points answer it, whether they follow or invert, and in what order a command passes them. What the resolution cannot tell becomes a question, and never a guess.
/// </summary>
/// <param name="look">Time between two looks of the adapter; zero where it is not known.</param>
public sealed class DraftInference(ImmutableArray<Line> lines, ImmutableArray<string> points, Duration look)
{
    /// <param name="pulses">In any order; those behind multiplexers show different points.</param>
    public DraftFindings Of(ImmutableArray<DraftPulse> pulses)
    {
        var records = lines.ToDictionary(line => line.Name, line => points.Select(point => new PointRecord(line, point, look)).ToImmutableArray());
        var followed = lines.ToDictionary(line => line.Name, _ => false);
        for (var number = 0; number < pulses.Length; number++)
        {
            var pulse = pulses[number];
            var edges = CommandEdges.Find(pulse.Line, pulse.DrivenAt, pulse.OnAt, pulse.OffAt, pulse.Capture);
            followed[pulse.Line.Name] |= edges.Complete;
            foreach (var record in records[pulse.Line.Name])
            {
                if (pulse.Capture.Find(record.Point) is { } signal)
                    record.Add(number, signal, edges, pulse.Capture);
            }
        }

        var answering = lines.ToDictionary(line => line.Name, line => records[line.Name].Where(record => record.AnswersAlways).ToImmutableArray());
        var linesOf = answering.SelectMany(pair => pair.Value.Select(record => (record.Point, Line: pair.Key))).ToLookup(pair => pair.Point, pair => pair.Line);
        var shared = linesOf.Where(point => point.Count() > 1).Select(point => point.Key).ToHashSet();
        var order = new PointOrder(look, pulses.Select(pulse => pulse.Capture.ClockTolerance).DefaultIfEmpty(0).Max());
        ImmutableArray<DraftChain> chains = [.. lines.Select(line => Chain(line, [.. answering[line.Name].Where(record => !shared.Contains(record.Point))], order))];
        var levels = pulses.SelectMany(pulse => pulse.Capture.Signals).GroupBy(signal => signal.Name).ToDictionary(
            signals => signals.Key, signals => (Level: signals.First().Initial, Still: signals.All(signal => signal.Changes.IsEmpty && signal.Initial == signals.First().Initial)));
        ImmutableArray<(string Point, Level Level)> quiet = [.. points.Where(point => levels.TryGetValue(point, out var seen) && seen.Still).Select(point => (point, levels[point].Level))];
        var unsteady = records.Values.SelectMany(of => of).Where(record => !record.AnswersAlways && (record.Stirred > 0 || record.Restless > 0)).ToLookup(record => record.Point);
        return new(
            chains,
            [.. lines.SelectMany(line => answering[line.Name]).Where(record => shared.Contains(record.Point)).Select(record => record.Answer)],
            quiet,
            [
                .. lines.SelectMany((line, i) => Silent(line, followed[line.Name], answering[line.Name], quiet)),
                .. chains.SelectMany(Order),
                .. Shared(shared, linesOf),
                .. unsteady.Select(point => Unsteady(point.Key, [.. point])),
                .. chains.SelectMany(chain => chain.Answers).Where(answer => answer.Bounces > 0).Select(Contact),
                .. quiet.GroupBy(still => still.Level).Select(still => Quiet(still.Key, [.. still.Select(point => point.Point)])),
            ]);
    }

    private static DraftChain Chain(Line line, ImmutableArray<PointRecord> records, PointOrder order)
    {
        var pairs = records.SelectMany((one, i) => records.Skip(i + 1).Select(other => (One: one, Other: other, Order: order.Compare(one, other)))).ToList();
        // So many are known to be in front of it; where that leaves it open, the mean delays of both edges do.
        int InFront(PointRecord record) => pairs.Count(pair => (pair.Other == record && pair.Order > 0) || (pair.One == record && pair.Order < 0));
        ImmutableArray<PointRecord> sorted =
        [
            .. records.OrderBy(InFront).ThenBy(record => record.Answer.On.Value + record.Answer.Off.Value).ThenBy(record => record.Point, StringComparer.Ordinal),
        ];
        return new(
            line,
            [.. sorted.Select(record => record.Answer)],
            [.. pairs.Where(pair => pair.Order == 0).Select(pair => (pair.One.Point, pair.Other.Point))],
            [.. pairs.Where(pair => pair.Order is null).Select(pair => (pair.One.Point, pair.Other.Point))],
            [.. sorted.Select((record, i) => (order.Latest(i == 0 ? null : sorted[i - 1], record, 0), order.Latest(i == 0 ? null : sorted[i - 1], record, 1)))]);
    }

    private static IEnumerable<DraftQuestion> Silent(Line line, bool followed, ImmutableArray<PointRecord> answers, ImmutableArray<(string Point, Level Level)> quiet)
    {
        if (!followed)
            yield return new(DraftTopic.Silent, [line.Name], $"Line '{line.Name}' itself was not seen to follow its command at adapter pin {line.AdapterPin}: is something else driving it, or its lead open or short?");
        else if (answers.IsEmpty)
            yield return new(DraftTopic.Silent, [line.Name], $"Nothing answers line '{line.Name}'. Is it dead in front of the first clipped point, is a net of it bridged to one that holds it, {(quiet.IsEmpty ? "" : "is one of the points that never changed its own, ")}or does nothing of it have a lead?");
    }

    private static DraftQuestion Quiet(Level level, ImmutableArray<string> still) => new(
        DraftTopic.Quiet, still,
        still.Length == 1
            ? $"{still[0]} stayed {level.Word()} throughout. A supply, a stop, feedback of what did not move, or a dead net: what is it?"
            : $"{string.Join(", ", still)} stayed {level.Word()} throughout. Supplies, stops, feedback of what did not move, or dead nets: what is each?");

    private static IEnumerable<DraftQuestion> Order(DraftChain chain)
    {
        foreach (var (one, other) in chain.Untold)
            yield return new(DraftTopic.Order, [chain.Line.Name, one, other], $"'{chain.Line.Name}' reaches {one} and {other} so close together that this adapter cannot tell the order: which is in front, or are they one net?");
        foreach (var (one, other) in chain.Crossed)
            yield return new(DraftTopic.Order, [chain.Line.Name, one, other], $"Of {one} and {other} one is first when '{chain.Line.Name}' goes on and the other when it goes idle: they are not one behind the other. Where does the path part?");
    }

    /// <summary>Points with the same lines are told of together: they are most likely shared at one place.</summary>
    private static IEnumerable<DraftQuestion> Shared(HashSet<string> shared, ILookup<string, string> linesOf) => shared
        .GroupBy(point => string.Join(", ", linesOf[point].Select(line => $"'{line}'")))
        .Select(group => new DraftQuestion(
            DraftTopic.Shared, [.. group, .. linesOf[group.First()]],
            $"{string.Join(", ", group)} {(group.Count() == 1 ? "answers" : "answer")} each of the lines {group.Key}. Are nets bridged at the first of them or in front of it, or do the lines meet there by design?"));

    private static DraftQuestion Unsteady(string point, ImmutableArray<PointRecord> records)
    {
        var restless = records.Sum(record => record.Restless);
        var told = records.Where(record => record.Stirred > 0).Select(record => $"in {record.Stirred} of {record.Seen} pulses on '{record.Line.Name}'");
        return new(
            DraftTopic.Unsteady, [point],
            restless > 0
                ? $"{point} changes by itself, before anything is commanded. What drives it?"
                : $"{point} changes {string.Join(", ", told)}, but does not answer each of them by another level that lasts: does it come and go, or does something else drive it?");
    }

    private static DraftQuestion Contact(DraftAnswer answer) => new(
        DraftTopic.Contact, [answer.Point],
        $"{answer.Point} changes up to {answer.Bounces + 1} times within {answer.Settle} at each edge of '{answer.Line.Name}'. Is it a contact? Of which relay or switch?");
}
