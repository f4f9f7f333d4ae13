using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>So many parts of one type.</summary>
/// <param name="Type">The part type, e.g. "4N25".</param>
/// <param name="Count">Parts to order, at least 1: no more than <paramref name="Parts"/>, and fewer where only one of them has failed.</param>
/// <param name="Parts">On the board: "OK3".</param>
public sealed record Spare(string Type, int Count, ImmutableArray<string> Parts);
