using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>An analog multiplexer: one of its inputs at a time is joined to its common pin.</summary>
/// <param name="SelectCount">Address pins; it has 2 to that power inputs, Y0 and so on.</param>
/// <param name="OnResistanceMaximum">Between an input and the common pin while it is chosen.</param>
public sealed record MultiplexerType(string Name, string Description, string Source, int SelectCount, Ohms OnResistanceMaximum)
    : PartType(Name, Description, Source)
{
    public int InputCount => 1 << SelectCount;
}
