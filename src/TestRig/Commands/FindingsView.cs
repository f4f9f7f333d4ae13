using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;

namespace TestRig.Commands;

/// <summary>Tells what a run found: at its end, or years later from the store.</summary>
internal sealed class FindingsView(TextScreen screen, SweepView sweeps)
{
    /// <summary>The record has all.</summary>
    private const int MostDrifts = 10;

    public void Tell(SoakFindings findings)
    {
        var tally = findings.Tally;
        foreach (var channel in tally.Channels.Where(channel => channel.Failures > 0))
            screen.Say("Failing  ", $"{channel.Channel}: {(findings.Run.Kind == RunKind.Sweep ? channel.FirstWords : SoakWords.Of(channel))}");
        if (tally.Checks.Failures > 0)
            screen.Say("Checks   ", SoakWords.OfChecks(tally.Checks));
        foreach (var pattern in findings.Patterns)
        {
            if (findings.Run.Kind == RunKind.Soak)
                screen.Say("Pattern  ", SoakWords.Of(pattern));
            if (SoakWords.BeforeReplacing(pattern, tally) is { } first)
                screen.Say("  first  ", first);
            if (pattern.Explanation is { } explanation)
                sweeps.SayFaults(explanation.Diagnosis, explanation.Spares);
            else
                screen.Say("         ", SoakWords.NotExplained);
        }
        if (findings.OtherFailures > 0)
            screen.Say("Pattern  ", SoakWords.Others(findings));
        var drifts = Drift.Of(tally);
        foreach (var drift in drifts.Take(MostDrifts))
            screen.Say("Drift    ", SoakWords.Of(drift, tally.Hours));
        if (drifts.Count > MostDrifts)
            screen.Say("Drift    ", $"{drifts.Count - MostDrifts} more figures drift; report.html and the record have them.");
        if (tally.Cycles > 0 && findings.Run.Kind == RunKind.Soak)
            screen.Say("Proof    ", SoakWords.Proof(tally));
        if (findings.NotKept > 0)
            screen.Say("Disk     ", $"captures of {SoakWords.Cycles(findings.NotKept)} that failed were not kept, for lack of room (--disk); their summaries were");
    }
}
