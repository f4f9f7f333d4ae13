using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>A resistive divider in a lead: <paramref name="Upper"/> from the test point to the adapter pin, <paramref name="Lower"/> from there to ground.</summary>
public sealed record Divider(Ohms Upper, Ohms Lower)
{
    /// <summary>Voltage at the adapter pin divided by voltage at the test point.</summary>
    public double Ratio => Lower.Value / (Upper.Value + Lower.Value);
}
