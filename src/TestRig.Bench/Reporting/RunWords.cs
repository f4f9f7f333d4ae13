using System.Collections.Immutable;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Trials;

namespace TestRig.Bench.Reporting;

/// <summary>Kept runs in the words of every list.</summary>
public static class RunWords
{
    /// <summary>"sweep", "recording", "soak, 40 cycles", "trial of 6 parts".</summary>
    public static string What(StoredRun run) => run.Heading.Kind switch
    {
        RunKind.Sweep => StoredSweep.IsOfRecording(run) ? "recording" : "sweep",
        RunKind.Soak => $"soak, {SoakWords.Cycles(run.Cycles)}",
        RunKind.Trial => $"trial of {TrialWords.Parts(run.Cycles)}",
        _ => throw new ArgumentOutOfRangeException(nameof(run), run.Heading.Kind, "Unknown kind."),
    };

    /// <summary>What failed in it.</summary>
    public static string Found(StoredRun run, ImmutableArray<ChannelFailures> failures) => (run.Cycles, run.FailedCycles) switch
    {
        _ when run.Heading.Kind == RunKind.Trial => run.FailedCycles == 0 ? "none violates a limit" : $"{TrialWords.Parts(run.FailedCycles)} outside the limits",
        (0, _) => "no cycle was finished",
        (_, 0) => "nothing failed",
        _ when failures.IsEmpty => $"a check was not good in {SoakWords.Cycles(run.FailedCycles)}",
        _ => string.Join(", ", failures.GroupBy(failure => failure.Channel).Select(channel =>
            $"{channel.Key} {string.Join(" and ", channel.Select(failure => run.Cycles == 1 ? Words.Of(failure.Condition) : $"{Words.Of(failure.Condition)} in {SoakWords.Number(failure.Cycles)}"))}")),
    };

    /// <summary>Whether it came to its end.</summary>
    public static string State(StoredRun run) => run.Verdict is not null ? "ended" : run.Heading.Kind == RunKind.Soak ? "can be resumed" : "cut short";

    /// <summary>The verdict, or how far it came.</summary>
    public static string Verdict(StoredRun run) => run.Verdict ?? $"not ended: {SoakWords.Cycles(run.Cycles)}, {SoakWords.Number(run.FailedCycles)} failing";

    /// <summary>Why a cycle's captures are kept: "a cycle that is …".</summary>
    public static string Of(KeepReason reason) => reason switch
    {
        KeepReason.First => "first",
        KeepReason.BeforeFailure => "before a failure",
        KeepReason.Failure => "failing",
        KeepReason.Sample => "sample",
        KeepReason.Last => "last",
        _ => throw new ArgumentOutOfRangeException(nameof(reason), reason, "Unknown reason."),
    };
}
