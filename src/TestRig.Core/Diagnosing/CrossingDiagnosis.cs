using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Core.Diagnosing;

/// <summary>Explains channels that work and move another channel's points too: somewhere two nets are joined.</summary>
internal static class CrossingDiagnosis
{
    public static ImmutableArray<Fault> Faults(IReadOnlyCollection<ChannelResult> crossed)
    {
        var moved = crossed
            .Select(result => (Mover: result.Channel, First: result.Findings.FirstOrDefault(finding => finding.Expected == Expectation.Quiet)))
            .Where(entry => entry.First is not null)
            .ToList();
        var faults = ImmutableArray.CreateBuilder<Fault>();
        foreach (var point in moved.Where(entry => entry.First!.Cause is null).GroupBy(entry => entry.First!.TestPoint))
            faults.Add(Restless(point.Key, [.. point.Select(entry => entry.Mover.Name)]));

        var entries = moved.Where(entry => entry.First!.Cause is not null).Select(entry => (entry.Mover, Point: entry.First!.TestPoint)).ToList();
        var bridges = entries.Select(entry => (entry.Mover.Name, Item: BridgeTo(entry.Mover, entry.Point, entries)));
        faults.AddRange(bridges.GroupBy(bridge => bridge.Item).Select(bridge => Bridge(bridge.Key, [.. bridge.Select(entry => entry.Name)])));
        return faults.ToImmutable();
    }

    /// <summary>Seen from the other side, the first point that moves is the other end of the bridge.</summary>
    private static string BridgeTo(Channel mover, string point, List<(Channel Mover, string Point)> entries)
    {
        var other = entries.Find(entry => Owns(entry.Mover, point) && Owns(mover, entry.Point));
        if (other.Mover is null)
            return $"bridge from a net of {mover.Name} to {point}";
        // The same words from both sides.
        return string.CompareOrdinal(point, other.Point) < 0 ? $"bridge between {point} and {other.Point}" : $"bridge between {other.Point} and {point}";
    }

    private static Fault Bridge(string item, ImmutableArray<string> channels) => new(
        channels,
        [new([item], FaultMode.Bridged, "the nets are joined and move together", 1, channels)],
        "Look for a solder bridge, a crushed wire or two clips that touch; without power, measure between the two nets. Nothing is replaced before that.");

    private static Fault Restless(string point, ImmutableArray<string> channels) => new(
        channels,
        [new([point], FaultMode.Unsteady, "changes by itself", 1, channels)],
        $"See what {point} does while nothing is commanded: its lead first, then the part that drives it and the nets beside it.");

    private static bool Owns(Channel channel, string point) =>
        channel.DrivenAt.Name == point || channel.Stages.Any(stage => stage.OutputName == point) || channel.Feedback.Any(feedback => feedback.Point.Name == point);
}
