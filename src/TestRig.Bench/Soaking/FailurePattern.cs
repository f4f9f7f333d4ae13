using TestRig.Bench.Exercising;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Soaking;

/// <summary>Channels and checks that failed together in the same way.</summary>
/// <param name="Words">What failed: "shutter-open dead, shutter-close dead".</param>
/// <param name="Times">In how many cycles.</param>
/// <param name="First">The cycle in which it was seen first.</param>
/// <param name="Explanation">Null where none of its cycles is at hand any more, or others were explained before it.</param>
public sealed record FailurePattern(string Words, long Times, long First, FailureExplanation? Explanation);

/// <summary>What explains one failing cycle.</summary>
/// <param name="Cycle">Its number.</param>
/// <param name="Sweep">That cycle.</param>
public sealed record FailureExplanation(long Cycle, SweepResult Sweep, Diagnosis Diagnosis)
{
    /// <summary>The parts to have at hand for it.</summary>
    public Spares Spares => Spares.Of(Sweep.Board, Sweep.Channels, Diagnosis);
}
