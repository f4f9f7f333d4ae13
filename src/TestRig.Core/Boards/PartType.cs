using System.Collections.Immutable;

namespace TestRig.Core.Boards;

/// <summary>What is known of a kind of part from its data sheet. The data are in profiles/parts.</summary>
/// <param name="Source">The published source of its pins and its function. Each figure has its own.</param>
public abstract record PartType(string Name, string Description, string Source)
{
    /// <summary>Every figure of the data file with the source of its own, for those who ask where a number comes from.</summary>
    public ImmutableArray<Figure> Figures { get; init; } = [];

    /// <summary>The source of a figure, with its name in the data file; null when the part type has no such figure.</summary>
    public string? SourceOf(string figure) => Figures.FirstOrDefault(known => known.Name == figure) is { } found ? $"{found.Name}: {found.Source}" : null;

    /// <summary>Pins of its dual in-line package; null for any other package, and where the data do not tell.</summary>
    public int? DipPins { get; init; }
}
