namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Something that must never be so was so.</summary>
internal sealed class BrokenInvariantException(string message) : Exception(message);
