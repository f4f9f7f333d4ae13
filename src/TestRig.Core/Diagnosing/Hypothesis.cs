using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>One thing that may be wrong, and what it would make of every point of every channel.</summary>
/// <param name="Item">What would be replaced or reclipped: a part, a lead, a line.</param>
/// <param name="Words">How it fails, for a technician.</param>
/// <param name="Prior">Relative weight before anything was measured (common practice: opto parts and power drivers fail more often than logic).</param>
/// <param name="Predict">The states possible at a stage's output (−1: the drive point) of a channel.</param>
/// <param name="LeadLikelihood">How probable a lead-check result at that point is under it.</param>
internal sealed record Hypothesis(
    string Item,
    FaultMode Mode,
    string Words,
    double Prior,
    Func<Channel, int, StateSet> Predict,
    Func<Channel, int, LeadState, double> LeadLikelihood);
