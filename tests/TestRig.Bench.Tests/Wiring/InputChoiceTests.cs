using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Wiring;

namespace TestRig.Bench.Tests.Wiring;

/// <summary>Which points of the demonstrations to wire with few inputs: what has to hold of any such choice, worked out from the profiles by hand.</summary>
public class InputChoiceTests
{
    /// <summary>Twenty outputs: 8 of U1, 8 collectors, 4 contacts. Lines, supplies and their leads are not among them.</summary>
    [Fact]
    public void What_can_be_chosen_are_the_outputs_of_the_paths()
    {
        var choice = InputChoice.Of(DemoBoards.Load("tide-gauge"));
        Assert.Equal(20, choice.Points.Length);
        Assert.DoesNotContain("LOGIC", choice.Points);
        Assert.DoesNotContain("P1.1", choice.Points);
    }

    /// <summary>
    /// With one input for each of the eight channels, no channel goes unwatched: a channel without any point hides all of its faults, more than any second point of another tells.
    /// </summary>
    [Fact]
    public void With_one_input_for_each_channel_every_channel_is_watched_and_more_inputs_tell_more()
    {
        var board = DemoBoards.Load("tide-gauge");
        var choice = InputChoice.Of(board);
        var eight = choice.Choose(8);
        Assert.All(board.Channels, channel => Assert.Contains(channel.Stages, stage => eight.Points.Contains(stage.OutputName)));
        Assert.True(choice.Choose(9).EntropyLeft < eight.EntropyLeft);
        Assert.True(eight.EntropyLeft < choice.Choose(7).EntropyLeft);
        Assert.True(choice.Choose(20).FaultsLeft < eight.FaultsLeft);
    }
}
