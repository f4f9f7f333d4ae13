using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing;

/// <summary>What has to be replaced now.</summary>
/// <param name="OneOf">One spare where it is known which part has failed; several where nothing seen tells them apart, the most probable first.</param>
/// <param name="Unless">What is no part and would look the same, so that nothing has to be replaced: "lead at U3.16"; most probable first.</param>
public sealed record SpareNeed(ImmutableArray<Spare> OneOf, ImmutableArray<string> Unless);
