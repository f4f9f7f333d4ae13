namespace TestRig.Bench.Storage;

/// <summary>How far the copy of a run has come.</summary>
/// <param name="Cycles">Cycles, or parts, that the copy has.</param>
/// <param name="Waiting">Those that it lacks.</param>
/// <param name="Whole">The copy has all that the original had when it was looked at.</param>
/// <param name="Ended">The run has come to its end, and that is in the copy.</param>
internal sealed record CopiedPage(long Cycles, long Waiting, bool Whole, bool Ended);
