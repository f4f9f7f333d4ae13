using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>
/// One channel exercised and judged several times. Each repeat is judged by itself; here they become one result. Keeps the first result of each condition, with its capture, and of the others
/// only what statistics need: the same room however many there are.
/// </summary>
/// <param name="look">Time between two looks of the adapter; zero where it is not known.</param>
public sealed class ChannelRepeats(Channel channel, ExerciseMode mode, Duration look)
{
    private readonly Dictionary<FindingKey, FindingStatistics> _statistics = [];
    private readonly List<(Condition Condition, int Times, ChannelResult First)> _outcomes = [];

    /// <summary>Repeats so far.</summary>
    public int Count => _outcomes.Sum(outcome => outcome.Times);

    public void Add(ChannelResult result)
    {
        foreach (var (key, finding) in Keyed(result.Findings))
        {
            if (!_statistics.TryGetValue(key, out var statistics))
                _statistics[key] = statistics = new(look, finding.Cause == channel.DrivenAt.Name);
            statistics.Add(finding);
        }
        var known = _outcomes.FindIndex(outcome => outcome.Condition == result.Condition);
        if (known >= 0)
        {
            _outcomes[known] = _outcomes[known] with { Times = _outcomes[known].Times + 1 };
            return;
        }
        _outcomes.Add((result.Condition, 1, result));
    }

    /// <summary>All repeats together; null while there is none. Of a single one, itself.</summary>
    /// <remarks>
    /// A fault in any repeat is a fault, and what could not be judged in any is not working. Where it worked in others it comes and goes: intermittent, unless the others only could not tell.
    /// Of a channel that always works the delays are means, judged once more as such: an uncertainty that shrank may show what no single repeat could.
    /// </remarks>
    public ChannelResult? Result
    {
        get
        {
            if (_outcomes is [] or [(_, 1, _)])
                return _outcomes is [var only] ? only.First : null;
            var faulty = _outcomes.Where(outcome => outcome.First.IsFaulty).ToList();
            var told = faulty.Count > 0 ? Faulty(faulty.MaxBy(outcome => outcome.Times))
                : _outcomes.Find(outcome => outcome.Condition == Condition.NotTested) is { Times: > 0 } untested ? Untested(untested)
                : Working(_outcomes[0].First);
            ImmutableArray<Finding> findings = [.. Keyed(told.Findings).Select(keyed => keyed.Finding with { Repeats = _statistics[keyed.Key].Of(keyed.Finding.Verdict) })];
            return told with
            {
                Findings = findings,
                FirstFailure = told.FirstFailure is { } first ? findings[told.Findings.IndexOf(first)] : null,
                Outcomes = [.. _outcomes.Select(outcome => new RepeatOutcome(outcome.Condition, outcome.Times))],
            };
        }
    }

    /// <summary>Each finding with what it is about, the same in every repeat. A point may be told of twice: that it moved as it should, and that it did so too often.</summary>
    private static IEnumerable<(FindingKey Key, Finding Finding)> Keyed(ImmutableArray<Finding> findings)
    {
        var seen = new Dictionary<FindingKey, int>();
        foreach (var finding in findings)
        {
            var key = KeyOf(finding);
            var before = seen.GetValueOrDefault(key);
            seen[key] = before + 1;
            yield return (key with { Before = before }, finding);
        }
    }

    private static FindingKey KeyOf(Finding finding) => new(finding.TestPoint, finding.Stage, finding.Expected, finding.Cause, 0);

    private ChannelResult Faulty((Condition Condition, int Times, ChannelResult First) fault)
    {
        var working = Times(Condition.Working);
        var others = string.Join(", ", _outcomes.Where(outcome => outcome.Condition != fault.Condition && outcome.Condition != Condition.Working)
            .Select(outcome => string.Create(CultureInfo.InvariantCulture, $"{Name(outcome.Condition)} in {outcome.Times}")));
        var also = others.Length > 0 ? $" Otherwise: {others}." : "";
        if (working == 0)
            return others.Length == 0 ? fault.First : fault.First with { Summary = string.Create(CultureInfo.InvariantCulture, $"{fault.First.Summary} It did so in {fault.Times} of {Count} repeats.{also}") };
        var summary = string.Create(CultureInfo.InvariantCulture, $"{fault.First.Summary} It did so in {fault.Times} of {Count} repeats, and worked in {working}.{also}");
        // Slow at the edge of what can be told: the others did not see it in time, they could not tell.
        var onlyUntold = fault.Condition == Condition.Slow && fault.First.FirstFailure is { } late && _statistics[KeyOf(late)].Times(Timing.Conforms) == 0;
        return fault.First with { Condition = onlyUntold ? fault.Condition : Condition.Intermittent, Summary = summary };
    }

    private ChannelResult Untested((Condition Condition, int Times, ChannelResult First) untested) => untested.Times == Count
        ? untested.First
        : untested.First with { Summary = string.Create(CultureInfo.InvariantCulture, $"{untested.First.Summary} That was so in {untested.Times} of {Count} repeats; it worked in the others.") };

    private ChannelResult Working(ChannelResult first)
    {
        ImmutableArray<Finding> findings = [.. first.Findings.Select(Averaged)];
        var wrong = findings.Where(finding => finding.IsWrong).ToDictionary(finding => finding.Stage!.Value, finding => finding.Verdict == Verdict.Late ? PointState.Late : PointState.Early);
        if (wrong.Count == 0)
            return first with { Findings = findings };
        var path = first.Path.Select(point => wrong.TryGetValue(point.Stage, out var state) ? point with { State = state } : point).ToImmutableArray();
        var (condition, failure, words) = ConditionRules.Summarise(channel, mode, path, findings, new(CaptureOutcome.Complete, null));
        return first with { Findings = findings, Path = path, Condition = condition, FirstFailure = failure, Summary = words };
    }

    private Finding Averaged(Finding finding)
    {
        var statistics = _statistics[KeyOf(finding)];
        if (finding is not { Verdict: Verdict.Conforms, Timing: not null, Earliest: { } earliest, Latest: { } latest, Cause: not null } || statistics.MeanDelay(Count) is not { } mean)
            return finding;
        var timing = TransitionJudge.Within(mean, earliest, latest);
        // Each of them was told to keep its window: that is more than what the mean tells.
        if (timing == Timing.NotResolved && statistics.Times(Timing.Conforms) == Count)
            timing = Timing.Conforms;
        var verdict = timing != Timing.Violates ? Verdict.Conforms : mean.Value > latest ? Verdict.Late : Verdict.Early;
        return finding with
        {
            Verdict = verdict,
            Timing = timing,
            Delay = mean.Value,
            StandardUncertainty = mean.StandardUncertainty,
            Measured = mean,
            Words = finding.Bounces > 0 && verdict == Verdict.Conforms
                ? finding.Words // how it bounced is told of one time only
                : FindingWords.MeanTransition(finding, verdict, timing, mean, earliest, latest, Count),
        };
    }

    private int Times(Condition condition) => _outcomes.Where(outcome => outcome.Condition == condition).Sum(outcome => outcome.Times);

    private static string Name(Condition condition) => condition switch
    {
        Condition.StuckHigh => "stuck high",
        Condition.StuckLow => "stuck low",
        Condition.LeadOpen => "lead open",
        Condition.NotTested => "not tested",
        _ => condition.ToString().ToLowerInvariant(),
    };

    /// <param name="Before">Findings about the same in front of it.</param>
    private readonly record struct FindingKey(string Point, int? Stage, Expectation Expected, string? Cause, int Before);
}
