using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

/// <summary>The direct-current side of each kind of stage. Figures computed by hand.</summary>
public sealed class StageCircuitTests
{
    private static void Is(Bounds<Volts>? volts, double minimum, double typical, double maximum)
    {
        Assert.NotNull(volts);
        Assert.Equal((minimum, typical, maximum), (Math.Round(volts.Value.Minimum.Value, 3), Math.Round(volts.Value.Typical.Value, 3), Math.Round(volts.Value.Maximum.Value, 3)));
    }

    [Fact]
    public void A_buffer_drives_both_levels_and_its_high_gives_way()
    {
        var type = SomeParts.Buffer(inverting: false) with { OutputLowTypical = new(0.25), OutputHighTypical = new(3.4), ShortCircuitCurrent = (new(0.04), new(0.225)), OutputLowResistance = new(8) };
        var circuit = StageModel.Of(new BufferPart("U1", type, SomeParts.Logic), type.Sections[0], null).Circuit;
        Is(circuit.OutputAt(Level.Low), 0, 0.25, 0.4);
        Is(circuit.OutputAt(Level.High), 2.4, 3.4, 5.25);
        Assert.Equal((8, false), (circuit.WhenLow!.Source.Value, circuit.WhenLow.OneWay));
        // 3.4 V into a short gives 132.5 mA, the middle of 40 and 225.
        Assert.Equal((25.66, true), (Math.Round(circuit.WhenHigh!.Source.Value, 2), circuit.WhenHigh.OneWay));
        Assert.Equal(0.8, circuit.Input!.Limits.LowMaximum.Value);
    }

    [Fact]
    public void An_open_collector_drives_low_only_and_its_pull_up_does_the_rest()
    {
        var circuit = StageModel.Of(SomeParts.OpenCollector(1_000), SomeParts.OpenCollector(1_000).DriverType.Sections[0], null).Circuit;
        Is(circuit.OutputAt(Level.Low), 0, 0.2, 0.4);
        Is(circuit.OutputAt(Level.High), 10.8, 12, 13.2);
        Assert.Null(circuit.WhenHigh);
        Assert.Equal((1_000, "machine"), (circuit.OutputPull!.Resistance.Value, circuit.OutputPull.Supply!.Name));
    }

    [Fact]
    public void A_driver_whose_load_nobody_described_has_no_level_while_it_is_off()
    {
        var circuit = SomeParts.DriverStage(highSide: true).Circuit;
        Is(circuit.OutputAt(Level.High), 10.3, 11.8, 13.2);
        Assert.Null(circuit.OutputAt(Level.Low));
    }

    [Fact]
    public void A_closed_contact_has_its_resistance_and_an_open_one_its_pull_up()
    {
        var type = new RelayType("relay", "", "test", new(24), SomeParts.Delay(8_000_000), SomeParts.Delay(8_000_000), new(10, Duration.FromMilliseconds(6))) { ContactResistanceMaximum = new(0.1) };
        var circuit = StageModel.Of(new RelayPart("K1", type, SomeParts.Logic) { PullUp = new(4_700) }, null).Circuit;
        // 5 V × 0.1 / 4700.1 = 0.1 mV.
        Is(circuit.OutputAt(Level.Low), 0, 0, 0);
        Is(circuit.OutputAt(Level.High), 4.75, 5, 5.25);
        Assert.Equal(0.1, circuit.WhenLow!.Source.Value);
    }

    /// <summary>LED 1.57 mA typical (2.2 kohm), 70 %: 1.155 mA; least 1.2338 mA × 20 % = 0.24675 mA through 9.5 kohm from 13.2 V: 10.856 V.</summary>
    [Fact]
    public void An_isolator_that_is_lit_too_weakly_leaves_its_output_hanging()
    {
        var circuit = StageModel.Of(SomeParts.IsolatorPart(resistor: 2_200), null, SomeParts.BufferStage(inverting: true).Circuit.WhenLow).Circuit;
        Is(circuit.OutputAt(Level.Low), 0, 1.023, 10.856);
        // At 220 ohm the weakest permitted part still saturates: 0.5 V at most.
        Is(StageModel.Of(SomeParts.IsolatorPart(), null, SomeParts.BufferStage(inverting: true).Circuit.WhenLow).Circuit.OutputAt(Level.Low), 0, 0.15, 0.5);
        Assert.Equal((220, 1.15, "logic"), (StageModel.Of(SomeParts.IsolatorPart(), null).Circuit.InputPull!.Resistance.Value, StageModel.Of(SomeParts.IsolatorPart(), null).Circuit.InputPull!.Drop.Value, StageModel.Of(SomeParts.IsolatorPart(), null).Circuit.InputPull!.Supply!.Name));
    }

    [Fact]
    public void An_emitter_output_rises_to_its_supply_less_the_saturation_or_as_far_as_its_current_takes_the_load()
    {
        var strong = StageModel.Of(SomeParts.IsolatorPart(takenAtCollector: false), null, SomeParts.BufferStage(inverting: true).Circuit.WhenLow).Circuit;
        Is(strong.OutputAt(Level.High), 10.3, 11.85, 13.2);
        Is(strong.OutputAt(Level.Low), 0, 0, 0);
        var weak = StageModel.Of(SomeParts.IsolatorPart(resistor: 2_200, takenAtCollector: false), null, SomeParts.BufferStage(inverting: true).Circuit.WhenLow).Circuit;
        // 0.24675 mA × 9.5 kohm at least.
        Assert.Equal(2.344, Math.Round(weak.OutputAt(Level.High)!.Value.Minimum.Value, 3));
    }
}
