using TestRig.Core.Boards;

namespace TestRig.Core.Tests.Boards;

/// <summary>The small invented board: line idle high, U3 inverts, U4 inverts, OK1 pulls its collector low through 10 kohm from 12 V ± 10 %, Q1 is a high side.</summary>
public class InjectionTests
{
    [Fact]
    public void Of_a_path_only_the_collector_is_low_while_commanded_and_pulled_up_by_a_resistor_alone() =>
        Assert.Equal(["OK1.5", "OK2.5"], Injection.Of(Some.Board()).Select(injection => injection.Net));

    /// <summary>
    /// By hand: 10 kohm / 20 = 500 ohm, 470 ohm is the E12 value below it; 13.2 V / 10 470 ohm = 1.261 mA, and 13.2 V / 470 ohm = 28.09 mA where the net is shorted to its supply.
    /// </summary>
    [Fact]
    public void The_resistor_at_the_transistor_is_a_twentieth_of_what_pulls_the_net_up_in_preferred_values()
    {
        var injection = Injection.At(Some.Board(), "OK1.5").Injection!;
        Assert.Equal(470, injection.Series.Value, 1e-6);
        Assert.Equal(1.261e-3, injection.Current.Value, 1e-6);
        Assert.Equal(28.09e-3, injection.CurrentAtShort.Value, 1e-5);
    }

    // By hand: 4.7 kohm / 20 = 235, below it 220; 400 / 20 = 20, below it 18; 2 kohm / 20 = 100 is itself a preferred value.
    [Theory]
    [InlineData(4_700, 220)]
    [InlineData(400, 18)]
    [InlineData(2_000, 100)]
    public void The_same_of_other_loads(double load, double series)
    {
        var channel = Some.Board().Channels[0];
        var isolator = (IsolatorPart)channel.Stages[2].Part with { Load = new(load) };
        var other = channel with { Stages = channel.Stages.SetItem(2, StageModel.Of(isolator, channel.Stages[2].Output)) };
        Assert.Equal(series, new Injection(other, 2, null).Series.Value, 1e-6);
    }

    [Fact]
    public void What_is_behind_and_what_is_before_make_the_whole_path()
    {
        var injection = Injection.At(Some.Board(), "OK1.5").Injection!;
        Assert.Equal(["U3", "U4", "OK1"], injection.Before.Select(stage => stage.Part.Name));
        Assert.Equal(["Q1"], injection.Behind.Select(stage => stage.Part.Name));
    }

    /// <summary>An emitter output is high while lit: nothing to pull low.</summary>
    [Fact]
    public void An_emitter_output_is_refused()
    {
        var board = Some.Board();
        var channel = board.Channels[0];
        var emitter = (IsolatorPart)channel.Stages[2].Part with { TakenAtCollector = false };
        var other = board with { Channels = [channel with { Stages = channel.Stages.SetItem(2, StageModel.Of(emitter, channel.Stages[2].Output)) }] };
        Assert.Contains("only pull a net low", Injection.At(other, other.Channels[0].Stages[2].OutputName).Refused, StringComparison.Ordinal);
    }

    [Fact]
    public void What_is_no_net_of_a_path_is_neither() => Assert.Equal((null, null), Injection.At(Some.Board(), "LOGIC"));
}
