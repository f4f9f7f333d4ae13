namespace TestRig.Bench.Storage;

/// <summary>The right to append to a run. The next session of the same run ends it.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Cycles">How many cycles the run had when the session was opened; the next one has the number after it.</param>
public sealed record RunSession(string Run, int Number, long Cycles);
