namespace TestRig.Core.Boards;

/// <summary>One figure of a part type as its data file states it.</summary>
/// <param name="Value">As written, e.g. "typical 7 ns, maximum 14 ns".</param>
/// <param name="Source">Where it was published, or "value from memory", or "common practice".</param>
public sealed record Figure(string Name, string Value, string Source);
