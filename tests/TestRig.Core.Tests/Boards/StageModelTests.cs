using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class StageModelTests
{
    /// <summary>Worked examples: 5 V, 1.2 V, 5 mA gives 760 ohm (TLP621-4 question and answer text); (5 − 1.15 − 0.35) V / 10 mA = 350 ohm (derived
    /// from 4N25 typical VF and LS240 typical VOL at 24 mA); the demonstration board, (5 − 1.15 − 0.35) V / 220 ohm = 15.9 mA.</summary>
    [Theory]
    [InlineData(1.2, 760, 0, 0.005)]
    [InlineData(1.15, 350, 0.35, 0.010)]
    [InlineData(1.15, 220, 0.35, 0.0159)]
    public void The_LED_current_is_what_the_resistor_lets_through(double ledForward, double resistor, double sinkLow, double current) =>
        Assert.Equal(current, StageModel.LedCurrent(SomeParts.IsolatorPart(resistor, type: SomeParts.Isolator(ledForward)), new(sinkLow)).Value, 4);

    /// <summary>15.68 mA × 20 % = 3.136 mA available; (12 − 0.5) V / 10 kohm = 1.15 mA taken (computed by hand).</summary>
    [Fact]
    public void The_saturation_margin_is_the_available_over_the_taken_current() =>
        Assert.Equal(2.727, StageModel.SaturationMargin(SomeParts.IsolatorPart(), new(0.4)), 3);

    [Fact]
    public void An_isolator_output_follows_its_cathode_at_the_collector_and_inverts_it_at_the_emitter()
    {
        var collector = StageModel.Of(SomeParts.IsolatorPart(), null);
        Assert.Equal(("OK1 2>5", "OK1.5", false), (collector.Name, collector.OutputName, collector.Inverting));
        var emitter = StageModel.Of(SomeParts.IsolatorPart(takenAtCollector: false), null);
        Assert.Equal(("OK1 2>4", "OK1.4", true), (emitter.Name, emitter.OutputName, emitter.Inverting));
        // Lit is the quick way: a low collector, a high emitter.
        Assert.True(collector.Fall.Latest < collector.Rise.Latest);
        Assert.True(emitter.Rise.Latest < emitter.Fall.Latest);
    }

    /// <summary>2.8 µs + 10 kohm × 220 ps/ohm = 5 µs, 4.5 µs + 10 kohm × 9.55 ns/ohm = 100 µs; ×0.1 and ×2 (common practice).</summary>
    [Fact]
    public void Isolator_windows_grow_with_the_load()
    {
        var stage = StageModel.Of(SomeParts.IsolatorPart(), null);
        Assert.Equal((Duration.FromNanoseconds(500), Duration.FromMicroseconds(10)), (stage.Fall.Earliest, stage.Fall.Latest));
        Assert.Equal((Duration.FromMicroseconds(10), Duration.FromMicroseconds(200)), (stage.Rise.Earliest, stage.Rise.Latest));
    }

    [Fact]
    public void A_high_side_driver_rises_when_it_turns_on_and_a_low_side_driver_falls()
    {
        var high = SomeParts.DriverStage(highSide: true);
        Assert.Equal(("Q1.C", true), (high.OutputName, high.Inverting));
        Assert.Equal((Duration.FromMicroseconds(4), Duration.FromMicroseconds(16)), (high.Rise.Latest, high.Fall.Latest));
        var low = SomeParts.DriverStage(highSide: false);
        Assert.Equal((Duration.FromMicroseconds(4), Duration.FromMicroseconds(16)), (low.Fall.Latest, low.Rise.Latest));
    }

    [Fact]
    public void How_low_a_buffer_in_front_sinks_is_known_and_a_driver_is_not()
    {
        var isolator = StageModel.Of(SomeParts.IsolatorPart(), null);
        Assert.Equal(0.4, StageModel.SinkLow([SomeParts.BufferStage(inverting: true), isolator], 1)!.Value.Value);
        Assert.Null(StageModel.SinkLow([SomeParts.DriverStage(highSide: false), isolator], 1));
        Assert.Null(StageModel.SinkLow([isolator], 0));
    }
}
