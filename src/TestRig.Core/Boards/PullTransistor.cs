using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// A transistor at the tip of a line's lead, no part of the board: it makes an open drain of an ordinary line. While the line is low it does nothing; while the line is high it pulls a net low, to the
/// net's own ground.
/// </summary>
/// <param name="Supply">What its net is pulled up to.</param>
/// <param name="Series">Between the transistor and the net: it bounds the current when something holds the net high.</param>
public sealed record PullTransistor(string Name, Supply Supply, Ohms Series) : Part(Name, _type)
{
    private static readonly DriverType _type = new(
        "small NPN transistor or logic-level N-MOSFET", "pulls a net low from a line's lead", "common practice", HighSide: false,
        new(Duration.Zero, Duration.FromNanoseconds(500), Duration.FromMicroseconds(5), "a small transistor behind the resistor of its gate or base, common practice"),
        new(Duration.Zero, Duration.FromMicroseconds(1), Duration.FromMicroseconds(10), "the same, common practice"));

    public override Supply? SupplyOfOutput => Supply;
}
