using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class StageModelTests
{
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
    public void What_sinks_an_input_is_known_where_the_stage_in_front_drives_low()
    {
        var isolator = StageModel.Of(SomeParts.IsolatorPart(), null);
        Assert.Equal(0.4, StageModel.SinkOf([SomeParts.BufferStage(inverting: true), isolator], 1)!.Volts.Maximum.Value);
        Assert.Equal(0.5, StageModel.SinkOf([SomeParts.DriverStage(highSide: false), isolator], 1)!.Volts.Maximum.Value);
        Assert.Null(StageModel.SinkOf([SomeParts.DriverStage(highSide: true), isolator], 1));
        Assert.Null(StageModel.SinkOf([isolator], 0));
    }

    [Fact]
    public void An_open_collector_rises_as_slowly_as_its_pull_up_charges_the_net_and_falls_as_its_sheet_says()
    {
        var stage = StageModel.Of(SomeParts.OpenCollector(load: 10_000), SomeParts.OpenCollector(load: 10_000).DriverType.Sections[0], null);
        Assert.Equal(("U7 1>2", "U7.2", false), (stage.Name, stage.OutputName, stage.Inverting));
        Assert.Equal(Duration.FromNanoseconds(20), stage.Fall.Latest);
        // 10 kohm × 100 pF = 1 µs, × ln((12 − 0.2) / 6) = 676.3 ns, ×2, behind twice 8 ns (computed by hand).
        Assert.Equal(1_352.7e-9 + 16e-9, stage.Rise.Latest.ToSeconds(), 10);
    }
}
