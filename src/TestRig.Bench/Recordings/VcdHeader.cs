using System.Collections.Immutable;

namespace TestRig.Bench.Recordings;

/// <summary>What stands in front of a dump's values.</summary>
/// <param name="Date">As written; empty where it is not said.</param>
/// <param name="Version">Of the program that wrote it, as written.</param>
/// <param name="Comment">Those of its declarations, one after the other; not more than some lines.</param>
/// <param name="Variables">In the order of the file.</param>
/// <param name="Codes">Different identifier codes.</param>
/// <param name="Skipped">Keywords that the standard does not know; what stood between them and their $end was left out.</param>
public sealed record VcdHeader(
    string Date, string Version, string Comment, VcdTimescale Timescale, ImmutableArray<VcdVariable> Variables, int Codes, ImmutableArray<string> Skipped);
