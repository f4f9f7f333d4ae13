using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Tests.Plotting;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Reporting;

/// <summary>
/// A sweep of four channels: one working, one dead with its suspects, one slow that nothing explains, one that a limit switch forbade. The names hold what
/// markup would trip over.
/// </summary>
internal static class SomeSweep
{
    public const string BoardName = "Dome <card> & \"Co\" \u0001";

    public static SweepResult Result(SweepEnding? ending = null)
    {
        ImmutableArray<ChannelResult> channels =
        [
            Named(DomeChannel.Healthy(), "shutter-close"),
            Named(DomeChannel.DeadIsolator(), "shutter-open"),
            Named(DomeChannel.SlowIsolator(), "flap-raise"),
            new(DomeChannel.Channel() with { Name = "rotate-left" }, Condition.NotTested, [], null, [], null, "limit-left is low, which forbids rotate-left."),
        ];
        var suspects = ImmutableArray.Create(
            new Suspect(["OK3"], FaultMode.Dead, "never conducts", 0.97, ["shutter-open"]),
            new Suspect(["Q3", "lead at Q3.C"], FaultMode.HoldsInput, "its input holds OK3.5", 0.03, ["shutter-open"]));
        return new(
            new Board(BoardName, [], [.. channels[1].Channel.Stages.Select(stage => stage.Part)], [], [], [], [], [.. channels.Select(channel => channel.Channel)], ["Nobody is <near> the dome."]),
            new AdapterIdentity(
                "serial", "/dev/ttyX1", "ATmega2560", "1.0", DomeChannel.Tick, DomeChannel.Resolution, 0.005, Duration.FromMilliseconds(1),
                Duration.FromMilliseconds(2000), Duration.FromMicroseconds(120), PinVoltage.FiveVoltMaximum),
            ExerciseMode.LogicOnly,
            new(2026, 11, 25, 13, 45, 6, TimeSpan.FromHours(1)),
            channels,
            [new("supplies", true, "logic 5.01 V, motor off"), new("stop inputs", false, "limit-left is low")],
            new Diagnosis([new(["shutter-open"], suspects, "Replace OK3 (4N25).")], "Clip a lead to U4.14 & sweep again.", ["flap-raise"]),
            ending ?? SweepEnding.Complete,
            Duration.FromMilliseconds(180),
            TimeSpan.FromSeconds(1));
    }

    private static ChannelResult Named(ChannelResult result, string name) => result with { Channel = result.Channel with { Name = name } };
}
