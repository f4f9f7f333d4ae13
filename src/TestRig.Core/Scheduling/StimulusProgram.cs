using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>What the adapter does during one exercise.</summary>
/// <param name="Steps">Ascending in time.</param>
/// <param name="Length">The program ends, with all lines idle, this long after its start.</param>
public sealed record StimulusProgram(ImmutableArray<StimulusStep> Steps, Duration Length);
