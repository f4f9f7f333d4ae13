using System.Collections.Immutable;
using System.Globalization;

namespace TestRig.Core.Boards;

/// <summary>An analog multiplexer between test points and an adapter input. It belongs to the measuring set-up, not to the board.</summary>
/// <param name="CommonPin">The adapter input at its common pin.</param>
/// <param name="SelectPins">The adapter pins that drive its address, lowest bit first. Multiplexers share all of them or none.</param>
public sealed record Multiplexer(string Name, MultiplexerType Type, string CommonPin, ImmutableArray<string> SelectPins)
{
    /// <summary>Its own end of the lead from <see cref="CommonPin"/>: "M1.Z".</summary>
    public string CommonEnd => $"{Name}.Z";

    /// <summary>Its own end of the lead from one of <see cref="SelectPins"/>: "M1.S0".</summary>
    public string SelectEnd(int bit) => string.Create(CultureInfo.InvariantCulture, $"{Name}.S{bit}");
}

/// <summary>One input of a multiplexer.</summary>
/// <param name="Address">0 is Y0.</param>
public sealed record MultiplexerInput(Multiplexer Multiplexer, int Address)
{
    /// <summary>As a profile writes it: "M1.Y3".</summary>
    public override string ToString() => $"{Multiplexer.Name}.Y{Address}";
}
