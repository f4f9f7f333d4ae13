using System.Collections.Immutable;

namespace TestRig.Tests.Circuits;

/// <summary>What ngspice measured of a deck, in SI units.</summary>
/// <param name="Said">All that it printed, for the message when something is missing.</param>
internal sealed record SimulatedCircuit(ImmutableDictionary<string, double> Measured, string Said)
{
    /// <summary>What the simulator could not measure is an error.</summary>
    public double this[string name] => Measured.TryGetValue(name, out var value) ? value : throw new InvalidOperationException($"ngspice did not measure '{name}':\n{Said}");
}
