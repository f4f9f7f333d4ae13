using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

/// <summary>How far apart two voltages on a pin's way can be, against a simulated lead: steps of 1 ns, levels 0.35 V and 3.35 V behind the allowance for reading errors.</summary>
public class PinEdgeTests
{
    private const double LowVolts = 0.35, HighVolts = 3.35;
    private static readonly PinEdge _edge = new(new(0.3), new(3.4), Duration.FromNanoseconds(500), Duration.FromNanoseconds(300));

    /// <summary>Sources of any length up to the stated one, and leads of any time constant up to the stated one, straight and bent: none takes longer, and the worst comes near.</summary>
    [Theory]
    [InlineData(Level.High)]
    [InlineData(Level.Low)]
    public void No_edge_within_what_is_stated_takes_longer_between_the_two_voltages(Level to)
    {
        var bound = _edge.Between(to, new(0.914), new(3.0))!.Value.Picoseconds / 1e3;
        var longest = 0.0;
        foreach (var source in new[] { 0, 50, 200, 500 })
        {
            foreach (var settling in new[] { 1.0, 30, 100, 300 })
            {
                foreach (var bend in new[] { 0.2, 1.0, 8.0 })
                    longest = Math.Max(longest, NanosecondsBetween(to, source, settling, bend));
            }
        }
        Assert.InRange(longest, bound * 0.55, bound);
    }

    [Theory]
    [InlineData(0.3, 3.04)] // 3.04 V less 50 mV is below 3.0
    [InlineData(0.9, 3.4)]
    public void Levels_that_are_not_clear_of_the_voltages_bound_nothing(double low, double high)
    {
        var edge = _edge with { Low = new(low), High = new(high) };
        Assert.Null(edge.Between(Level.High, new(0.914), new(3.0)));
        Assert.Null(edge.Between(Level.Low, new(0.914), new(3.0)));
    }

    [Fact]
    public void The_lead_and_the_part_in_front_of_it_make_the_edge()
    {
        var isolator = SomeParts.IsolatorPart();
        var divided = new TestPoint("OK1.5", "A2", new(new(100_000), new(47_000)), null);
        var stage = StageModel.Of(isolator, divided);
        // The transistor switches off: its load of 10 kohm charges the lead. (100 + 10) || 47 kohm and 200 pF.
        var rise = PinEdge.Of(divided, stage, Level.High, new(0.2), new(12))!;
        Assert.Equal(1 / ((1 / (100_000 + isolator.Load.Value)) + (1 / 47_000.0)) * 200e-12, rise.Settling.ToSeconds(), 1e-11);
        Assert.Equal(stage.Rise.Latest, rise.Source);
        Assert.Equal(12 * 47.0 / 147, rise.High.Value, 6);
        Assert.True(PinEdge.Of(divided, stage, Level.Low, new(0.2), new(12))!.Settling < rise.Settling);
        // Behind a multiplexer there is more resistance and more capacitance.
        var direct = new TestPoint("OK1.5", "A2", null, null);
        Assert.Equal((1_000 + isolator.Load.Value) * 200e-12, PinEdge.Of(direct, stage, Level.High, new(0.2), new(5))!.Settling.ToSeconds(), 1e-11);
    }

    private static double NanosecondsBetween(Level to, int source, double settling, double bend)
    {
        var (from, target) = to == Level.High ? (LowVolts, HighVolts) : (HighVolts, LowVolts);
        var (pin, first) = (from, -1);
        for (var time = 0; time < 20_000; time++)
        {
            var share = source == 0 || time >= source ? 1 : Math.Pow((double)time / source, bend);
            pin += (from + ((target - from) * share) - pin) * (1 - Math.Exp(-1 / settling));
            if (first < 0 && (to == Level.High ? pin >= 0.914 : pin <= 3.0))
                first = time;
            if (to == Level.High ? pin >= 3.0 : pin <= 0.914)
                return time - first;
        }
        throw new InvalidOperationException("the pin never arrived");
    }
}
