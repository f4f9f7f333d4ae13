using TestRig.Bench.Exercising;

namespace TestRig.Bench.Reporting;

/// <summary>How what was done came to its end, in a record for other programs.</summary>
internal sealed record EndingEntry(SweepOutcome Outcome, string Words)
{
    public static EndingEntry Of(SweepEnding ending) => new(ending.Outcome, ending.Words);
}
