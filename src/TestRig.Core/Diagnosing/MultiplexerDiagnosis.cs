using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// Finds a fault of the measuring set-up behind faults that the board seems to have: all that is wrong is seen through one multiplexer, or at one state of one select
/// pin, and nothing that is seen so is right.
/// </summary>
internal static class MultiplexerDiagnosis
{
    /// <summary>Probability that a channel has a fault of its own just here: one cause stands against one such coincidence for each channel but one.</summary>
    private const double Coincidence = 0.01;

    /// <summary>Null when no multiplexer explains all that is wrong.</summary>
    public static Fault? Find(Board board, IReadOnlyCollection<ChannelResult> judged)
    {
        var faulty = judged.Where(result => result.IsFaulty).ToList();
        var wrong = faulty.SelectMany(WrongPoints).ToHashSet();
        var seen = judged.SelectMany(result => result.Path).Where(point => point.State != PointState.Unseen).Select(point => point.TestPoint).Concat(wrong).ToHashSet();
        var through = board.TestPoints.Where(point => point.Through is not null && seen.Contains(point.Name)).ToList();
        if (faulty.Count < 2 || wrong.Count < 2 || !wrong.IsSubsetOf(through.Select(point => point.Name)))
            return null;
        // A point that answers its own command is seen, whatever else moves it.
        var right = judged.SelectMany(result => result.Path).Where(point => point.State == PointState.Good).Select(point => point.TestPoint).ToHashSet();
        var cause = Causes(board, through).FirstOrDefault(candidate => wrong.SetEquals(candidate.Points) && !right.Overlaps(candidate.Points));
        if (cause is null)
            return null;
        ImmutableArray<string> channels = [.. faulty.Select(result => result.Channel.Name)];
        var belief = 1 / (1 + Math.Pow(Coincidence, channels.Length - 1));
        return new(channels, [new([cause.Item], cause.Mode, cause.Words, belief, channels)], cause.Advice);
    }

    private static IEnumerable<string> WrongPoints(ChannelResult result) => result.Path
        .Where(point => point.State is not (PointState.Good or PointState.Unseen))
        .Select(point => point.TestPoint)
        .Concat(result.Findings.Where(finding => finding.Stage is null && finding.IsWrong).Select(finding => finding.TestPoint));

    private sealed record Cause(string Item, FaultMode Mode, string Words, string Advice, ImmutableArray<string> Points);

    private static IEnumerable<Cause> Causes(Board board, List<TestPoint> through)
    {
        foreach (var multiplexer in board.Multiplexers)
        {
            yield return new(
                $"multiplexer {multiplexer.Name}", FaultMode.WholePackage, "none of its inputs arrives",
                $"Check the supply, the ground and the enable pin of {multiplexer.Name}, and the lead from its common pin to {multiplexer.CommonPin}: all that looks faulty is seen through it. Then sweep again before any part of the board is touched.",
                [.. through.Where(point => point.Through!.Multiplexer == multiplexer).Select(point => point.Name)]);
        }
        var together = board.Multiplexers.GroupBy(multiplexer => string.Join(' ', multiplexer.SelectPins)).Select(group => group.ToImmutableArray());
        foreach (var multiplexers in together.Where(group => group.Length > 1).Concat(board.Multiplexers.Select(multiplexer => ImmutableArray.Create(multiplexer))))
        {
            var names = string.Join(" and ", multiplexers.Select(multiplexer => multiplexer.Name));
            for (var bit = 0; bit < multiplexers[0].Type.SelectCount; bit++)
            {
                foreach (var high in new[] { false, true })
                {
                    yield return new(
                        $"select pin S{bit} of {names}", FaultMode.WrongInput, $"it does not go {(high ? "high" : "low")}: other inputs are seen than were chosen",
                        $"Check the lead from {multiplexers[0].SelectPins[bit]} to S{bit} of {names}, then {names}: all that looks faulty is seen through inputs for which S{bit} has to be {(high ? "high" : "low")}. Then sweep again before any part of the board is touched.",
                        [.. through.Where(point => multiplexers.Contains(point.Through!.Multiplexer) && (point.Through.Address >> bit & 1) == 1 == high).Select(point => point.Name)]);
                }
            }
        }
    }
}
