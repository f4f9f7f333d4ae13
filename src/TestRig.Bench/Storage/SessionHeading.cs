namespace TestRig.Bench.Storage;

/// <summary>A run goes on in sessions: one process at one adapter, from its begin, or its resumption, to its end.</summary>
/// <param name="Adapter">What the adapter said of itself, as JSON: what is measured again, with it, is measured by the same.</param>
/// <param name="Host">This computer's name.</param>
public sealed record SessionHeading(DateTimeOffset Started, string Adapter, string Host, int ProcessId);
