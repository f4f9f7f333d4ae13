using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Judging;

/// <summary>What the judge is given of one exercise: never more than what was captured and checked.</summary>
/// <param name="Capture">Signals and levels by test-point name, voltages as at the test point.</param>
/// <param name="Leads">Results of the lead check by test point; a point that is not in it was not checked.</param>
public sealed record ExerciseRecord(Exercise Exercise, Capture Capture, ImmutableDictionary<string, LeadState> Leads);
