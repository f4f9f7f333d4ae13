using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>One way in which all experiments may come out together.</summary>
/// <param name="Possible">
/// For each experiment the outcomes that are possible, bit by bit; 0 for an experiment that would not have been made, such as one behind a check that ends everything. Experiments beyond
/// the end would not have been made either.
/// </param>
public sealed record Forecast(ImmutableArray<uint> Possible)
{
    /// <summary>Any outcome.</summary>
    public const uint Anything = uint.MaxValue;

    public uint At(int experiment) => experiment < Possible.Length ? Possible[experiment] : 0;
}
