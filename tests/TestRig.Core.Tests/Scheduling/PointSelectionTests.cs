using TestRig.Core.Boards;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Scheduling;

public class PointSelectionTests
{
    private static readonly MultiplexerType _type = new("eight inputs", "invented", "invented", 3, new(100));

    private static readonly Multiplexer _first = new("M1", _type, "A0", ["D6", "D7", "D8"]);

    private static readonly Multiplexer _beside = new("M2", _type, "A1", ["D6", "D7", "D8"]);

    private static readonly Multiplexer _other = new("M3", _type, "A2", ["D9", "D10", "D11"]);

    [Fact]
    public void Without_multiplexers_all_points_with_a_lead_are_seen_at_once()
    {
        var board = Some.Board() with { TestPoints = [Some.Point("a", "A0"), new("nowhere", null, null, null)] };
        var only = Assert.Single(PointSelection.Of(board));
        Assert.Empty(only.HighPins);
        Assert.Equal(["a"], only.Points.Select(point => point.Name));
    }

    [Fact]
    public void Multiplexers_with_the_same_select_pins_go_through_their_addresses_together()
    {
        var selections = PointSelection.Of(With(At(_first, 1), At(_first, 6), At(_beside, 6), At(_beside, 7)));
        Assert.Equal(["D6", "D7 D8", "D6 D7 D8"], selections.Select(selection => string.Join(' ', selection.HighPins))); // 1 = 001, 6 = 110, 7 = 111, S0 lowest
        Assert.Equal(["direct M1.Y1", "direct M1.Y6 M2.Y6", "direct M2.Y7"], selections.Select(selection => string.Join(' ', selection.Points.Select(point => point.Name))));
    }

    [Fact]
    public void Multiplexers_with_select_pins_of_their_own_are_no_reason_for_more_selections()
    {
        var selections = PointSelection.Of(With(At(_first, 0), At(_first, 1), At(_other, 2), At(_other, 5), At(_other, 7)));
        Assert.Equal(3, selections.Length);
        Assert.All(selections, selection => Assert.Equal(selection.Points.Length, selection.Points.Select(point => point.AdapterPin).Distinct().Count()));
        Assert.Equal(
            ["M1.Y0", "M1.Y1", "M3.Y2", "M3.Y5", "M3.Y7", "direct"],
            selections.SelectMany(selection => selection.Points).Select(point => point.Name).Distinct().Order(StringComparer.Ordinal));
    }

    private static Board With(params TestPoint[] points) => Some.Board() with { TestPoints = [Some.Point("direct", "D2"), .. points] };

    private static TestPoint At(Multiplexer multiplexer, int address) =>
        Some.Point($"{multiplexer.Name}.Y{address}", multiplexer.CommonPin) with { Through = new(multiplexer, address) };
}
