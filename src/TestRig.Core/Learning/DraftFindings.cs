using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>All that pulses on the lines of an unknown board told.</summary>
/// <param name="Chains">One for each line, in the order of the lines; without answers where nothing answers it alone.</param>
/// <param name="Shared">Answers of points that answer more lines than one.</param>
/// <param name="Quiet">Points that never changed, with their level.</param>
/// <param name="Questions">What a person has to say.</param>
public sealed record DraftFindings(
    ImmutableArray<DraftChain> Chains, ImmutableArray<DraftAnswer> Shared, ImmutableArray<(string Point, Level Level)> Quiet, ImmutableArray<DraftQuestion> Questions);
