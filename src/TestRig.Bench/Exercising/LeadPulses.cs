using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Finds leads that are where others belong: commands each line once, briefly, and looks which points answer. It is a sweep in logic-only mode, prepared, limited and ended as any; only what is asked of it is
/// whether the leads are right, before anything else is. Since a line's lead may be another's, no line is on for longer than the most that any permits, and each rests as long as the longest rest of any.
/// </summary>
/// <param name="motorOffConfirmed">As for a sweep.</param>
public sealed class LeadPulses(Board board, IAdapter adapter, bool motorOffConfirmed, TimeProvider time, ILogger log)
{
    /// <summary>The name of the check that it adds to those before.</summary>
    public const string CheckName = "pulses";

    private readonly Board _board = Gentle(board);

    /// <param name="looked">What a check found before that commanded nothing, and came to its end.</param>
    /// <param name="progress">Gets what is done and seen meanwhile.</param>
    /// <returns>The same with what the pulses told.</returns>
    /// <exception cref="ProfileMismatchException">The limits of all lines together leave no room for a pulse; nothing was driven.</exception>
    public async Task<LeadCheckResult> RunAsync(LeadCheckResult looked, IProgress<SweepEvent> progress, CancellationToken cancellation)
    {
        var options = new SweepOptions(ExerciseMode.LogicOnly, motorOffConfirmed, NoStopInputAcknowledged: false);
        var sweep = await new Sweep(_board, adapter, options, time, log).MeasureAsync(progress, cancellation);
        if (sweep.Ending.Outcome is SweepOutcome.AdapterFailed or SweepOutcome.Cancelled)
            return looked with { Ending = sweep.Ending };
        var (diagnosis, alike) = BoardDiagnosis.OfLeads(sweep, adapter.Pins);
        var told = new LeadsByPulses(LeadVerdicts.Of(diagnosis), alike);
        var check = new CheckDone(
            CheckName, told.Verdicts.IsEmpty && sweep.Ending.Outcome == SweepOutcome.Complete,
            told.Verdicts.IsEmpty ? "each line commanded once, and answered where the profile has it" : "not every line is answered where the profile has it");
        progress.Report(check);
        return looked with
        {
            Leads = looked.Leads.ToImmutableDictionary(lead => lead.Key, lead => Found(lead.Key, lead.Value, sweep, told)),
            Checks = looked.Checks.Add(check),
            Ending = sweep.Ending,
            Pulses = told,
        };
    }

    private static LeadFound Found(string point, LeadFound looked, SweepResult sweep, LeadsByPulses told)
    {
        if (told.Verdicts.FirstOrDefault(verdict => verdict.Points.Contains(point)) is { } verdict)
        {
            return looked.State == FoundState.Open ? looked
                : verdict.Blame == LeadBlame.Lead ? new(FoundState.Wrong, verdict.Words)
                : new(FoundState.NotTold, verdict.Words);
        }
        if (looked.State == FoundState.Wrong && told.Verdicts.Any(other => other.Blame == LeadBlame.Board))
            return new(FoundState.NotTold, $"{looked.Words}; by the pulses it is no lead");
        if (looked.State != FoundState.NotTold)
            return looked;
        // It has shown what its command does there: an open lead does not.
        var channels = sweep.Channels.Where(result => result.Channel.DrivenAt.Name == point || result.Channel.Stages.Any(stage => stage.OutputName == point)).ToList();
        return channels.Count > 0 && channels.TrueForAll(result => result.Condition == Condition.Working)
            ? new(FoundState.Whole, $"answers {string.Join(", ", channels.Select(result => result.Channel.Line.Name))}")
            : looked;
    }

    /// <summary>The board with limits of lines that any of them bears.</summary>
    private static Board Gentle(Board board)
    {
        var (longestOn, rest) = (board.Lines.Min(line => line.LongestOn), board.Lines.Max(line => line.Rest));
        return board.WithLines(line => line with { LongestOn = longestOn, Rest = rest });
    }
}
