using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Captures;

/// <summary>One input through a capture.</summary>
/// <param name="Name">The test point's name, or the adapter pin's where no test point is wired to it.</param>
/// <param name="Initial">The level at the capture's first look.</param>
/// <param name="Changes">Ascending in time; levels alternate.</param>
public sealed record Signal(string Name, Level Initial, ImmutableArray<Change> Changes)
{
    /// <summary>The level as last seen at or before <paramref name="instant"/>.</summary>
    public Level LevelAt(Instant instant)
    {
        var level = Initial;
        foreach (var change in Changes)
        {
            if (change.NotAfter > instant)
                break;
            level = change.Level;
        }
        return level;
    }

    /// <summary>The same, everything later by <paramref name="shift"/>; earlier where that is negative.</summary>
    public Signal Shifted(Duration shift) => this with { Changes = [.. Changes.Select(change => change with { After = change.After + shift, NotAfter = change.NotAfter + shift })] };

    public Level Final => Changes.IsEmpty ? Initial : Changes[^1].Level;
}
