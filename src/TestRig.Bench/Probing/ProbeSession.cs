using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Diagnosing.Probing;
using TestRig.Core.Diagnosing.Reasoning;
using TestRig.Core.Judging;

namespace TestRig.Bench.Probing;

/// <summary>
/// Finds what is wrong in one channel with one lead that goes from point to point. Each touch is a sweep of that channel, prepared, limited and watched as any sweep; whatever happens, lines idle between
/// touches and at the end.
/// </summary>
/// <param name="adapterFor">The adapter, given the board with the leads as they are now: a real one is the same whatever the leads.</param>
public sealed class ProbeSession(Board board, Channel channel, ProbeLead lead, Func<Board, IAdapter> adapterFor, SweepOptions options, TimeProvider time)
{
    private readonly SweepOptions _options = options.On(board) with { Together = false, Repeats = 1 };
    private readonly List<ProbeStep> _steps = [];
    private Outcomes _seen = Outcomes.None;
    private ChannelResult? _faulty;

    /// <exception cref="ProfileMismatchException">Profile and adapter, or lead and adapter, do not fit; nothing was driven.</exception>
    public async Task<ProbeResult> RunAsync(IProbeOperator person, CancellationToken cancellation)
    {
        var adapter = adapterFor(RovingBoard.With(board, channel, _options.Mode, null).Bench);
        var pin = lead.PinOn(board, channel, _options.Mode, adapter);
        var points = ProbePoint.Of(board, channel, pin, adapter.Identity.PinMaximum, lead.Divider);
        ImmutableArray<ProbePoint> open = [.. points.Where(point => point.Refused is null)];
        person.Begin(board, adapter.Identity, pin, points.Except(open));
        var model = new ProbeModel(board, channel, _options.Mode, open, AdapterFigures.Like(adapter.Identity), adapter.Pins);
        var guide = new ProbeGuide<BoardFault>(model, ProbeGuide<BoardFault>.UsuallyGood);
        var ending = await TouchAllAsync(model, guide, open, person, cancellation);

        var diagnosis = Diagnoser.Diagnose(board, _faulty is null ? [] : [_faulty], _seen, model, SearchLimits.OfOneChannel);
        var wrong = !diagnosis.Faults.IsEmpty || guide.Believe(_seen).Surprising.Length > 0;
        var blind = ending.Outcome != SweepOutcome.Complete || _steps.Any(step => step.Answer == ProbeAnswer.Skipped) || open.Length < points.Length;
        return new(
            board, channel, _options.Mode, adapter.Identity, pin, [.. points.Except(open)], [.. _steps], diagnosis.Faults,
            wrong ? ProbeOutcome.FaultFound : blind ? ProbeOutcome.Undecided : ProbeOutcome.NothingWrong, ending);
    }

    private async Task<SweepEnding> TouchAllAsync(ProbeModel model, ProbeGuide<BoardFault> guide, ImmutableArray<ProbePoint> points, IProbeOperator person, CancellationToken cancellation)
    {
        var ended = await TouchAsync(model, guide, null, null, person, cancellation);
        var open = model.Places.ToList();
        while (ended is null)
        {
            var believed = guide.Believe(_seen);
            if (guide.Next(believed, _seen, open) is not var (place, information))
                return SweepEnding.Complete;
            open.Remove(place);
            var question = QuestionAt(model, believed, points.Single(point => point.Name == place.Name), place, information);
            ProbeAnswer answer;
            try
            {
                answer = await person.AskAsync(question, cancellation);
            }
            catch (OperationCanceledException)
            {
                answer = ProbeAnswer.Quit;
            }
            switch (answer)
            {
                case ProbeAnswer.Touched:
                    ended = await TouchAsync(model, guide, question, place, person, cancellation);
                    break;
                case ProbeAnswer.Skipped:
                    Keep(new(question, answer, place.Name, null, [], ProbeSuspect.Of(believed)), person);
                    break;
                default:
                    return new(SweepOutcome.Cancelled, "Ended as told: lines are idle, what was seen so far is kept.");
            }
        }
        return ended;
    }

    /// <returns>Why probing cannot go on; null when it can.</returns>
    private async Task<SweepEnding?> TouchAsync(
        ProbeModel model, ProbeGuide<BoardFault> guide, ProbeQuestion? question, ProbePlace? place, IProbeOperator person, CancellationToken cancellation)
    {
        var roving = RovingBoard.With(board, channel, _options.Mode, question?.Point);
        var sweep = new Sweep(roving.Driven, adapterFor(roving.Bench), _options, time, Serilog.Core.Logger.None);
        var result = await sweep.MeasureAsync(new Checks(person), cancellation);
        var judged = result.Channels.First(other => other.Channel.Name == channel.Name);
        if (judged.IsFaulty)
            _faulty = judged;
        _seen = Outcomes.Of(_seen.All.Concat(model.OutcomesOf(place, result.Seen).All));
        var point = place?.Name ?? channel.DrivenAt.Name;
        Keep(
            new(
                question, ProbeAnswer.Touched, point, judged.Traces.FirstOrDefault(trace => trace.TestPoint == point),
                [.. judged.Findings.Where(finding => finding.TestPoint == point && finding.Verdict != Verdict.NotTested)], ProbeSuspect.Of(guide.Believe(_seen))),
            person);
        return result.Ending.Outcome == SweepOutcome.Complete ? null : result.Ending;
    }

    private ProbeQuestion QuestionAt(ProbeModel model, SearchResult<BoardFault> believed, ProbePoint point, ProbePlace place, double information) => new(
        _steps.Count, point, information,
        model.ExperimentAt(place, SightKind.Trace) is { } trace
            ? ProbeExpectation.Of(model, believed, _seen, place.Experiments, trace, channel.LevelAfter(point.Stage, channel.Line.Idle))
            : []);

    private void Keep(ProbeStep step, IProbeOperator person)
    {
        _steps.Add(step);
        person.Tell(step);
    }

    private sealed class Checks(IProbeOperator person) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is CheckDone check)
                person.Tell(check);
        }
    }
}
