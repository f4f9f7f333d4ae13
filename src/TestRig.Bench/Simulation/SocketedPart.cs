using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>The part that the simulated bench has in its socket: one of many that differ.</summary>
/// <param name="Number">Of the part: each has figures of its own, drawn from the bench's seed.</param>
/// <param name="TransferFactor">Its transfer ratio over what it would have otherwise.</param>
/// <param name="Leakage">Null for what a good part has.</param>
/// <param name="Forward">Of its LED; null for what a good part has.</param>
public sealed record SocketedPart(int Number, double TransferFactor = 1, Amperes? Leakage = null, Volts? Forward = null)
{
    /// <summary>Where nobody says otherwise.</summary>
    public static SocketedPart First { get; } = new(1);
}
