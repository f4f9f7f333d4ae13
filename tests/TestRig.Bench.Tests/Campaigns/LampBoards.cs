using TestRig.Bench.Tests.Files;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.Campaigns;

/// <summary>Invented boards so small that all their faults can be gone through with a pencil.</summary>
internal static class LampBoards
{
    /// <summary>One buffer that does not invert, one low-side transistor, one lamp from 5 V; a lead to the lamp alone, to an input that sees levels only. No supply is sensed.</summary>
    public static Board One { get; } = WrittenBoard.Of("""
        format: testrig-profile/1
        board: { name: One lamp (invented) }
        supplies:
          logic: { volts: 5 V ± 5 % }
          lamps: { volts: 5 V ± 5 % }
        parts:
          U1: { type: 74LS244, supply: logic }
          Q1: { type: BC337, supply: lamps }
        lines:
          lamp: { adapter: D22, idle: low, pull-down: 1 kohm, motion: false, longest-on: 500 ms, rest: 50 ms }
        test-points:
          P1.1: { adapter: D22 }
          Q1.C: { adapter: D30 }
        channels:
          lamp: { drive: lamp at P1.1, path: [ U1 2>18, Q1 ] }
        """);

    /// <summary>Two lamps that share nothing but their supplies, each behind a package of its own; leads to the lamps alone.</summary>
    public static Board Two { get; } = WrittenBoard.Of("""
        format: testrig-profile/1
        board: { name: Two lamps (invented) }
        supplies:
          logic: { volts: 5 V ± 5 % }
          lamps: { volts: 5 V ± 5 % }
        parts:
          U1: { type: 74LS244, supply: logic }
          U2: { type: 74LS244, supply: logic }
          Q1: { type: BC337, supply: lamps }
          Q2: { type: BC337, supply: lamps }
        lines:
          left:  { adapter: D22, idle: low, pull-down: 1 kohm, motion: false, longest-on: 500 ms, rest: 50 ms }
          right: { adapter: D23, idle: low, pull-down: 1 kohm, motion: false, longest-on: 500 ms, rest: 50 ms }
        test-points:
          P1.1: { adapter: D22 }
          P1.2: { adapter: D23 }
          Q1.C: { adapter: D30 }
          Q2.C: { adapter: D31 }
        channels:
          left:  { drive: left at P1.1, path: [ U1 2>18, Q1 ] }
          right: { drive: right at P1.2, path: [ U2 2>18, Q2 ] }
        """);
}
