using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>What the judge is given of one exercise: never more than what was captured and checked.</summary>
/// <param name="Captures">
/// One for each time that it ran, at least one; each with the test points that were seen then. Signals and levels by test-point name, voltages as at the test
/// point.
/// </param>
/// <param name="Leads">Results of the lead check by test point; a point that is not in it was not checked.</param>
public sealed record ExerciseRecord(Exercise Exercise, ImmutableArray<Capture> Captures, ImmutableDictionary<string, LeadState> Leads);
