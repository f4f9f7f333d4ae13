namespace TestRig.Bench.Storage;

/// <param name="Bytes">That its captures take in the store.</param>
public sealed record KeptEntry(long Cycle, KeepReason Reason, long Bytes);
