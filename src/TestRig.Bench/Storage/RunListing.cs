namespace TestRig.Bench.Storage;

/// <summary>Runs of a spool and of the store that it copies to.</summary>
/// <param name="Runs">The latest first; each once.</param>
/// <param name="NotAsked">Why the shared store's runs are not among them; null when they are.</param>
public sealed record RunListing(IReadOnlyList<StoredRun> Runs, string? NotAsked);
