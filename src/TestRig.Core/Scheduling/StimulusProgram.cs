using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>What the adapter does during one exercise.</summary>
/// <param name="Steps">Ascending in time.</param>
/// <param name="Length">The program ends, with all lines idle, this long after its start.</param>
public sealed record StimulusProgram(ImmutableArray<StimulusStep> Steps, Duration Length)
{
    /// <summary>A change that the adapter's hardware is to stamp too, beside the looks; null for none. Only for a pin that can.</summary>
    public FinePoint? Fine { get; init; }
}

/// <summary>The change of one pin to one level.</summary>
/// <param name="Pin">By the adapter's own name.</param>
public sealed record FinePoint(string Pin, Level Level)
{
    /// <summary>
    /// For a pin at which hardware stamps the crossing of a reference: how its voltage changes, which bounds what lies between the crossing and the change. A program with
    /// it reads no voltages. Null for a pin whose changes themselves are stamped.
    /// </summary>
    public PinEdge? Edge { get; init; }
}
