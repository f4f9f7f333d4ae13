using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Bench.Exercising;

/// <summary>The adapter pins that a profile wires to something.</summary>
public static class AdapterPins
{
    public static ImmutableHashSet<string> Of(Board board) =>
    [
        .. board.Lines.Select(line => line.AdapterPin),
        .. board.Multiplexers.SelectMany(multiplexer => multiplexer.SelectPins.Prepend(multiplexer.CommonPin)),
        .. board.Socket?.Loads.Select(load => load.AdapterPin) ?? [],
        .. board.TestPoints.Select(point => point.AdapterPin).OfType<string>(),
    ];
}
