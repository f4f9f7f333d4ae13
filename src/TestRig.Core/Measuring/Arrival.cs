using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Measuring;

/// <summary>What one signal did between one command edge and the next.</summary>
/// <param name="Before">Its level when the command came.</param>
/// <param name="Changes">Its changes since, in order.</param>
public sealed record Arrival(Level Before, ImmutableArray<Change> Changes)
{
    public Change? First => Changes.IsEmpty ? null : Changes[0];

    public Level After => Changes.IsEmpty ? Before : Changes[^1].Level;

    /// <summary>Transitions after the first.</summary>
    public int Bounces => Math.Max(0, Changes.Length - 1);

    /// <summary>From the first transition to the last; zero when there are fewer than two.</summary>
    public Duration SettleTime => Changes.Length < 2 ? Duration.Zero : Changes[^1].Estimate - Changes[0].Estimate;

    /// <param name="from">The command's interval begins: a change whose look came at or before this instant belongs to what was before.</param>
    /// <param name="to">The next command, or the capture's end.</param>
    public static Arrival Of(Signal signal, Instant from, Instant to)
    {
        var before = signal.Initial;
        var changes = ImmutableArray.CreateBuilder<Change>();
        foreach (var change in signal.Changes)
        {
            if (change.NotAfter <= from)
                before = change.Level;
            else if (change.NotAfter <= to)
                changes.Add(change);
        }
        return new(before, changes.ToImmutable());
    }
}
