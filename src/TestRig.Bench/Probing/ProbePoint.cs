using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Probing;

/// <summary>An output in the path of a channel, where a roving lead may touch.</summary>
/// <param name="Stage">0-based index of the stage whose output it is.</param>
/// <param name="Point">The test point with the roving lead at it.</param>
/// <param name="Refused">Why no lead goes there, with a remedy; null where one may.</param>
public sealed record ProbePoint(int Stage, TestPoint Point, string? Refused)
{
    public string Name => Point.Name;

    /// <summary>Every output of the channel's path in order, but those with a lead that stays.</summary>
    /// <param name="pin">The adapter pin of the roving lead.</param>
    /// <param name="most">The highest voltage that the pin takes.</param>
    /// <param name="divider">The divider at hand for points that go higher; null when there is none but what the profile has at the point.</param>
    internal static ImmutableArray<ProbePoint> Of(Board board, Channel channel, string pin, Volts most, Divider? divider)
    {
        var stay = RovingBoard.PointsThatStay(board);
        return [.. channel.Stages.Select((stage, index) => Of(board, channel, stage, index, pin, most, divider)).Where(point => !stay.Contains(point.Name))];
    }

    private static ProbePoint Of(Board board, Channel channel, Stage stage, int index, string pin, Volts most, Divider? divider)
    {
        var declared = stage.Output ?? board.TestPoints.FirstOrDefault(point => point.Name == stage.OutputName);
        var highest = declared?.Highest ?? stage.Part.SupplyOfOutput?.Maximum;
        var used = highest > most ? divider ?? declared?.Divider : declared?.Divider;
        var point = new TestPoint(stage.OutputName, pin, used, declared?.Ground) { Highest = highest, Series = declared?.Series ?? TestPoint.UsualSeries };
        return new(index, point, Refusal(board, channel, index, declared, point, most));
    }

    private static string? Refusal(Board board, Channel channel, int index, TestPoint? declared, TestPoint point, Volts most)
    {
        if (declared is null && !board.Grounds.IsEmpty && channel.Stages.Take(index + 1).Any(stage => stage.Part is IsolatorPart))
            return $"{point.Name} lies behind an isolator, and the profile does not say to which ground it refers: write it in test-points, with its ground.";
        if (point.Ground is { } ground && board.Grounds.Any(known => known.Name == ground && known.BridgedBecause is null))
            return $"{point.Name} refers to the isolated ground {ground}, and the profile does not permit a lead to bridge the isolation.";
        if (point.Highest is not { } highest)
            return $"Nothing tells how high {point.Name} can go: write it in test-points, with its supply.";
        if (point.HighestAtAdapter is { } reached && reached > most)
        {
            var remedy = Divider.For(highest, most) is { } fits ? $"Put a divider in the roving lead, for example {fits.Upper} / {fits.Lower}, and say so: --divider '{fits.Upper} / {fits.Lower}'." : "It cannot be sampled through a plain divider.";
            return $"{point.Name} can reach {highest}{(point.Divider is null ? "" : $", {reached} behind the divider")}, and the adapter's pin takes {most} at most. {remedy}";
        }
        return null;
    }
}
