using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

/// <summary>The small invented board: lines idle high and move something, U3 inverts (idles low), U4 inverts (idles high), OK1 pulls its collector low, Q1 is a high side.</summary>
public class LeadCheckHazardTests
{
    private static Board With(Board board, Channel channel) => board with { Channels = board.Channels.SetItem(0, channel) };

    [Fact]
    public void A_net_that_idles_high_may_be_taken_low_and_one_that_an_output_holds_low_may_not()
    {
        var board = Some.Board();
        var channel = board.Channels[0];
        Assert.Null(LeadCheckHazard.Commands(board, channel.Stages[0].Output!));
        Assert.Equal(channel.Line, LeadCheckHazard.Commands(board, channel.Stages[1].Output!));
        Assert.Equal(channel.Line, LeadCheckHazard.Commands(board, channel.Stages[2].Output!));
    }

    [Fact]
    public void Through_a_divider_nothing_is_commanded()
    {
        var board = Some.Board();
        var divided = board.Channels[0].Stages[2].Output! with { Divider = new(new(100_000), new(47_000)) };
        Assert.Null(LeadCheckHazard.Commands(board.WithTestPoint(divided), divided));
    }

    [Fact]
    public void Where_nothing_moves_nothing_is_commanded()
    {
        var board = Some.Board();
        var channel = board.Channels[0];
        var still = With(board, channel with { Line = channel.Line with { Motion = false } });
        Assert.Null(LeadCheckHazard.Commands(still, channel.Stages[1].Output!));
    }

    [Fact]
    public void What_is_no_output_of_a_path_commands_nothing() => Assert.Null(LeadCheckHazard.Commands(Some.Board(), Some.Point("limit", "D9")));

    /// <summary>
    /// An emitter output idles low by its load alone. By hand, loads 5 % high: 1.05 kohm against 20 kohm from 5 V is 0.25 V; 10.5 kohm is 1.72 V, which a low may not be in any
    /// of the level sets used here (TTL: 0.8 V; the thirds of 12 V: 4 V are more).
    /// </summary>
    [Theory]
    [InlineData(1_000, 0.8, false)]
    [InlineData(10_000, 0.8, true)]
    [InlineData(10_000, 4, false)]
    public void A_load_that_holds_a_net_low_has_to_be_stronger_than_the_pull_up(double load, double lowMaximum, bool commands)
    {
        var board = Some.Board();
        var channel = board.Channels[0];
        var emitter = (IsolatorPart)channel.Stages[2].Part with { TakenAtCollector = false, Load = new(load) };
        var stage = StageModel.Of(emitter, Some.Point("OK1.4", "K1"));
        stage = stage with { Levels = stage.Levels with { LowMaximum = new(lowMaximum) } };
        var other = channel with { Stages = channel.Stages.SetItem(2, stage) };
        Assert.Equal(Level.Low, other.LevelAfter(2, other.Line.Idle));
        Assert.Equal(commands, LeadCheckHazard.Commands(With(board, other), stage.Output!) is not null);
    }
}
