using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class IsolatorCircuitTests
{
    private static readonly OutputDrive Sink = SomeParts.BufferStage(inverting: true).Circuit.WhenLow!;

    private static IsolatorCircuit Circuit(double resistor = 220, bool takenAtCollector = true, double load = 10_000, double ledForward = 1.15) =>
        new(SomeParts.IsolatorPart(resistor, takenAtCollector, SomeParts.Isolator(ledForward)) with { Load = new(load) }, Sink);

    /// <summary>Worked examples: 5 V, 1.2 V, 5 mA gives 760 ohm (TLP621-4 question and answer text); (5 − 1.15 − 0.35) V / 10 mA = 350 ohm (derived
    /// from 4N25 typical VF and LS240 typical VOL at 24 mA); the demonstration board, (5 − 1.15 − 0.35) V / 220 ohm = 15.9 mA.</summary>
    [Theory]
    [InlineData(1.2, 760, 0, 0.005)]
    [InlineData(1.15, 350, 0.35, 0.010)]
    [InlineData(1.15, 220, 0.35, 0.0159)]
    public void The_LED_current_is_what_the_resistor_lets_through(double ledForward, double resistor, double sinkLow, double current) =>
        Assert.Equal(current, Circuit(resistor, ledForward: ledForward).LedCurrentWith(new(sinkLow)).Value, 4);

    /// <summary>CTR 120 %: 5 mA give 6 mA (TLP621-4 text); CTR 200 %: 5 mA give 10 mA, 10 mA give 20 mA (Toshiba e-learning, optocouplers, chapter 5-15).</summary>
    [Theory]
    [InlineData(5, 1.2, 6)]
    [InlineData(5, 2, 10)]
    [InlineData(10, 2, 20)]
    public void The_collector_current_is_the_LED_current_times_the_transfer_ratio(double led, double ratio, double collector)
    {
        var type = SomeParts.Isolator(1.2) with { TransferRatioTypical = ratio };
        var circuit = new IsolatorCircuit(SomeParts.IsolatorPart(3.8 / led * 1e3, type: type), null);
        Assert.Equal(collector * 1e-3, circuit.Available.Typical.Value, 6);
    }

    /// <summary>(4.75 − 1.5 − 0.4) V / 231 ohm = 12.34 mA; (5.25 − 1.15) V / 209 ohm = 19.62 mA (computed by hand).</summary>
    [Fact]
    public void Tolerances_spread_the_LED_current()
    {
        var led = Circuit().LedCurrent;
        Assert.Equal((0.01234, 0.01568, 0.01962), (Math.Round(led.Minimum.Value, 5), Math.Round(led.Typical.Value, 5), Math.Round(led.Maximum.Value, 5)));
    }

    /// <summary>15.68 mA × 20 % = 3.136 mA available; (12 − 0.5) V / 10 kohm = 1.15 mA taken (computed by hand).</summary>
    [Fact]
    public void The_saturation_margin_is_the_available_over_the_taken_current() => Assert.Equal(2.727, Circuit().SaturationMargin, 3);

    /// <summary>The smallest load that a 4N25 of the smallest ratio saturates at 5 V and 10 mA: (5 − 0.5) V / 2 mA = 2250 ohm (derived from its sheets); a 4N27 (1 mA) 4500 ohm.</summary>
    [Theory]
    [InlineData(0.2, 2_250)]
    [InlineData(0.1, 4_500)]
    public void At_the_smallest_load_of_the_sheet_the_margin_is_one(double ratio, double load)
    {
        var type = SomeParts.Isolator() with { TransferRatioMinimum = ratio };
        var circuit = new IsolatorCircuit(SomeParts.IsolatorPart(385, type: type) with { OutputSupply = SomeParts.Logic, Load = new(load) }, null);
        Assert.Equal(1, circuit.SaturationMargin, 9);
    }

    /// <summary>(500 + 1) × 19 pF × 10 kohm = 95.19 µs. On: 2.8 + 95.19 ln(9.264 / (9.264 − 0.5063)) µs. Off: 4.5 + 10 ln 9.264 + 95.19 ln(1 / 0.5063) µs (computed by hand).</summary>
    [Fact]
    public void Delays_come_from_the_load_the_capacitance_and_the_overdrive()
    {
        var circuit = Circuit();
        Assert.Equal(95.19e-6, circuit.TimeConstant.ToSeconds(), 9);
        Assert.Equal(9.264, circuit.TypicalOverdrive, 3);
        Assert.Equal(8.15e-6, circuit.OnDelay(circuit.Available.Typical)!.Value.ToSeconds(), 8);
        Assert.Equal(91.544e-6, circuit.OffDelay(circuit.Available.Typical)!.Value.ToSeconds(), 8);
        var (on, off) = (circuit.OnRange(), circuit.OffRange());
        Assert.Equal((0.815e-6, 9.154e-6, 183.1e-6), (Math.Round(on.Earliest.ToSeconds(), 9), Math.Round(off.Earliest.ToSeconds(), 9), Math.Round(off.Latest.ToSeconds(), 7)));
        // The weakest permitted part has 2.468 mA for 1.185 mA and takes 2.8 + 95.19 ln(2.0824 / 1.5761) = 29.3 µs: no fault.
        Assert.Equal(29.3e-6, on.Latest.ToSeconds(), 7);
    }

    [Fact]
    public void An_emitter_output_is_as_slow_as_a_collector_output() =>
        Assert.Equal(Circuit().OffDelay(new(0.01)), Circuit(takenAtCollector: false).OffDelay(new(0.01)));

    [Fact]
    public void A_larger_load_switches_off_later_and_an_output_that_is_never_reached_has_no_delay()
    {
        Assert.True(Circuit(load: 4_700).OffRange().Latest < Circuit(load: 10_000).OffRange().Latest);
        Assert.True(Circuit(load: 10_000).OffRange().Latest < Circuit(load: 47_000).OffRange().Latest);
        var starved = Circuit(resistor: 220_000);
        Assert.Null(starved.OnDelay(starved.Available.Typical));
        Assert.Contains("cannot be told", starved.OnRange().Origin, StringComparison.Ordinal);
    }

    /// <summary>Collector at 8 V: 4 V / 10 kohm = 0.4 mA; over 15.68 mA 2.55 %. Emitter at 3 V: 0.3 mA, 1.91 % (computed by hand).</summary>
    [Theory]
    [InlineData(true, 8, 0.02551)]
    [InlineData(false, 3, 0.01913)]
    public void A_level_between_tells_the_transfer_ratio(bool takenAtCollector, double volts, double ratio)
    {
        var estimate = Circuit(takenAtCollector: takenAtCollector).Estimate(new(volts), new(0.02));
        Assert.False(estimate.AtLeast);
        Assert.Equal(ratio, estimate.Ratio, 4);
    }

    /// <summary>12 V / 10 kohm less the saturation over 15.68 mA: 7.4 %, of a part that may have 70 %.</summary>
    [Fact]
    public void A_saturated_output_tells_only_that_the_ratio_is_at_least_so_much()
    {
        var estimate = Circuit().Estimate(new(0.3), new(0.02));
        Assert.True(estimate.AtLeast);
        Assert.Equal(0.0746, estimate.Ratio, 4);
        Assert.True(Circuit(takenAtCollector: false).Estimate(new(11.8), new(0.02)).AtLeast);
    }

    /// <summary>
    /// JCGM 100: (0.02 V ⊕ 12 V × 10 % / √3) / 4 V = 0.1733; resistor 5 % / √3 = 0.0289; LED (19.62 − 12.34) mA / 2 / √3 / 15.68 mA = 0.1340; together 0.2209 of 2.551 %. A supply
    /// that was measured takes its tolerance away.
    /// </summary>
    [Fact]
    public void The_estimate_carries_the_tolerances_of_its_circuit()
    {
        Assert.Equal(0.2209 * 0.02551, Circuit().Estimate(new(8), new(0.02)).StandardUncertainty, 5);
        Assert.Equal(Math.Sqrt((0.005 * 0.005) + (0.0289 * 0.0289) + (0.1340 * 0.1340)) * 0.02551, Circuit().Estimate(new(8), new(0.02), new Volts(12)).StandardUncertainty, 5);
    }

    /// <summary>Monte Carlo over the tolerances themselves, which knows the true ratio: the stated standard uncertainty is that of the estimates.</summary>
    [Fact]
    public void The_stated_uncertainty_is_the_spread_of_estimates_of_one_part_on_many_boards()
    {
        var (random, circuit, errors) = (new Random(1), Circuit(), new List<double>());
        double Uniform(double half) => half * ((2 * random.NextDouble()) - 1);
        const double truth = 0.0255;
        var ledHalf = (circuit.LedCurrent.Maximum.Value - circuit.LedCurrent.Minimum.Value) / 2;
        for (var board = 0; board < 20_000; board++)
        {
            var led = circuit.LedCurrent.Typical.Value + Uniform(ledHalf);
            var level = (12 * (1 + Uniform(0.1))) - (led * truth * 10_000 * (1 + Uniform(0.05)));
            errors.Add(circuit.Estimate(new(level), new(0)).Ratio - truth);
        }
        var spread = Math.Sqrt(errors.Sum(error => error * error) / errors.Count);
        Assert.InRange(circuit.Estimate(new(8), new(0)).StandardUncertainty / spread, 0.95, 1.05);
    }

    [Theory]
    [InlineData(-0.1)]
    [InlineData(13.3)]
    public void A_level_that_the_output_cannot_have_is_refused(double volts) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Circuit().Estimate(new(volts), new(0.02)));
}
