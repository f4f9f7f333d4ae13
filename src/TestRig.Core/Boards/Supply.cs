using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A supply rail of the board.</summary>
/// <param name="Tolerance">Permitted deviation as a fraction of nominal, e.g. 0.05 for ±5 %.</param>
/// <param name="SensedAt">The test point where the adapter can read it, if any.</param>
/// <param name="Motion">True for a supply that powers motors: it must be off in logic-only mode.</param>
public sealed record Supply(string Name, Volts Nominal, double Tolerance, TestPoint? SensedAt, bool Motion)
{
    public Volts Minimum => new(Nominal.Value * (1 - Tolerance));

    public Volts Maximum => new(Nominal.Value * (1 + Tolerance));
}
