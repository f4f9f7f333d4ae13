using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Injecting;

/// <summary>What came of driving a channel from one of its nets.</summary>
/// <param name="Pin">The adapter pin that the transistor is wired to.</param>
/// <param name="Judged">The channel from the net on: its first stage is the transistor.</param>
/// <param name="Diagnosis">Of what does not follow; nothing where all does.</param>
public sealed record InjectionResult(
    Board Board, Injection Injection, ExerciseMode Mode, AdapterIdentity Adapter, string Pin, ImmutableArray<CheckDone> Checks, ChannelResult Judged, Diagnosis Diagnosis, SweepEnding Ending)
{
    public InjectionOutcome Outcome => Judged.Condition switch
    {
        Condition.Working when Ending.Outcome == SweepOutcome.Complete => InjectionOutcome.BehindWorks,
        Condition.Working or Condition.NotTested => InjectionOutcome.Undecided,
        _ => InjectionOutcome.FaultBehind,
    };

    /// <summary>What may be at fault where all behind the net follows and the channel does not work from its line: from the net back to the adapter.</summary>
    public ImmutableArray<string> InFront =>
        [.. Injection.Before.Reverse().Select(stage => stage.Part.Name).Distinct(), $"lead to {Injection.Channel.DrivenAt.Name}", $"adapter pin {Injection.Channel.Line.AdapterPin}"];
}
