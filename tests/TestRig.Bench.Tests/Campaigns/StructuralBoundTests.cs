using TestRig.Bench.Campaigns;
using TestRig.Bench.Simulation;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Campaigns;

/// <summary>
/// The bound of the board with one lamp, by pencil. What a sweep can see: the line while it is released, the lamp's lead, the lamp while the line idles, and the line and the lamp through the command. Good: the line low, the
/// lead driven, Q1.C high (the lamp pulls it up), the line low-high-low, Q1.C high-low-high, some microseconds later each time.
///
/// Faults without the three bridges, 21 of them, by what becomes of that:
/// A  The lamp never lights, Q1.C is always high, all else is good.
///    U1:18=dead (its output stays low, as it idles), U1=no-supply and supply:logic=off (its output leaks to ground), U1=disabled (nothing drives the base), U1:18=weak (an undefined 1.5 V is less than the 0.65 V of the junction
///    and the 1.2 V that the base resistor needs), Q1:B=holds-low, U1:2=holds-low (the line itself reads high behind the resistor in its lead: it gives 5 V through 25 ohm and 220 ohm, 4.5 V are left),
///    line:lamp=open (the pin is high, the board is not), Q1=dead, Q1=stuck-high (shorted to the lamp's supply), Q1=weak (6 tenths of 5 V are above the 2.6 V at which the adapter's input is high for certain).
///    11 faults of 4 items: U1, Q1, the supply, the lead to P1.1.
/// B  Q1.C is always low: U1:18=stuck-high, Q1:B=holds-high, Q1=stuck-low, supply:lamps=off (the lamp pulls to 0 V). 4 faults of 3 items: U1, Q1, the supply.
/// C  U1:2=holds-high: the line is high while it is released, and the sweep ends there.
/// D  line:lamp=dead: the line does not go high.
/// E  lead:Q1.C=open: the lead follows the pull-up.
/// F  U1:18=inverted: Q1.C goes the other way round.
/// G  Q1=slow: switching off takes three times 5 µs; no two other things differ by microseconds.
/// H  U1:18=slow: three times 12 ns, where the adapter resolves 1.8 µs. It looks as nothing.
/// </summary>
public class StructuralBoundTests
{
    private static readonly Lazy<CampaignResult> _result = new(() => new Campaign(LampBoards.One, new(ExerciseMode.LogicOnly, Seed: 1, Healthy: 0, Pairs: 0, Suggest: true), new Progress<CampaignStep>()).Run(CancellationToken.None));

    [Fact]
    public void All_faults_are_tried()
    {
        // Besides the 21: P1.1, U1.18 and Q1.C, each joined with each other.
        Assert.Equal(24, _result.Value.Trials.Length);
        Assert.Empty(_result.Value.NotTried);
        Assert.Equal(3, _result.Value.Trials.Count(trial => trial.Fault.Mode == FaultMode.Bridged));
    }

    [Theory]
    [InlineData("Q1.C always high", true, 4, "U1:18=dead U1=no-supply supply:logic=off U1=disabled U1:18=weak Q1:B=holds-low U1:2=holds-low line:lamp=open Q1=dead Q1=stuck-high Q1=weak")]
    [InlineData("Q1.C always low", true, 3, "U1:18=stuck-high Q1:B=holds-high Q1=stuck-low supply:lamps=off")]
    [InlineData("line high", true, 1, "U1:2=holds-high")]
    [InlineData("line dead", true, 1, "line:lamp=dead")]
    [InlineData("lead open", true, 1, "lead:Q1.C=open")]
    [InlineData("the other way round", true, 1, "U1:18=inverted")]
    [InlineData("late", true, 1, "Q1=slow")]
    [InlineData("nothing", false, 1, "U1:18=slow")]
    public void The_classes_are_those_of_the_pencil(string look, bool detectable, int items, string faults)
    {
        // Bridges aside: joined with the lamp, the line starts high on some specimens and low on others, so that this one looks like several.
        var bounds = _result.Value.Trials.Where(trial => trial.Fault.Mode != FaultMode.Bridged).ToDictionary(trial => trial.Fault.Name, trial => WithoutBridges(trial).Bound);
        var found = bounds[faults.Split(' ')[0]];
        Assert.True(faults.Split(' ').Order().SequenceEqual(found.Faults.Select(fault => fault.Name).Order()), $"{look}: {string.Join(' ', found.Faults)}");
        Assert.Equal((detectable, items), (found.Detectable, found.Items));
        Assert.All(faults.Split(' '), fault => Assert.True(found.IsMadeOf(bounds[fault].Faults)));
        Assert.Equal(8, bounds.Values.Select(bound => string.Join(' ', bound.Faults)).Distinct().Count());
    }

    [Fact]
    public void The_fractions_are_counted_from_them()
    {
        // Bridges left out: 20 of 21 can be detected; C, D, E, F and G can be isolated to one item, B to three, A to four.
        var result = _result.Value with { Trials = [.. _result.Value.Trials.Where(trial => trial.Fault.Mode != FaultMode.Bridged).Select(WithoutBridges)] };
        Assert.Equal(20, result.Detectable.Length);
        Assert.Equal((5, 5, 9), (result.BoundIsolated(1), result.BoundIsolated(2), result.BoundIsolated(3)));
    }

    /// <summary>
    /// A lead to U1.18, to an input that sees levels: of A's 11 faults, Q1=dead, Q1=stuck-high and Q1=weak now show a U1.18 that follows the command; U1=disabled shows a net that nothing drives; of the other 7 U1.18 stays low (of
    /// U1:18=weak at 1.5 V, below the 2.6 V that are high). Told apart: 11 − 7 = 4. At an input that reads voltages, U1:18=weak differs from the other 6, too: 5. An input that reads voltages at Q1.C tells Q1=weak (3 V of
    /// 5 V) from the other 10: 1. Bridges may add to what is told apart, never take away; the order stays.
    /// </summary>
    [Fact]
    public void What_would_tell_most_is_suggested_first()
    {
        var suggestions = _result.Value.Suggestions!.Value;
        Assert.Equal(
            [(AddedMeasurement.LeadToConverter, "U1.18"), (AddedMeasurement.Lead, "U1.18"), (AddedMeasurement.Converter, "Q1.C")],
            suggestions.Select(one => (one.Kind, one.Net)));
        var bridgesInLargest = _result.Value.Classes.MaxBy(each => each.Faults.Length)!.Faults.Count(fault => fault.Mode == FaultMode.Bridged);
        Assert.InRange(suggestions[0].ToldApart, 5, 5 + bridgesInLargest);
        Assert.InRange(suggestions[1].ToldApart, 4, 4 + bridgesInLargest);
        Assert.InRange(suggestions[2].ToldApart, 1, 1 + bridgesInLargest);
    }

    /// <summary>Q1 switches off within its 5 µs when it is good and after 15 µs when it is slow; an adapter that resolves 100 µs takes both for the same.</summary>
    [Fact]
    public void A_coarser_adapter_tells_less()
    {
        var bench = new TrialBench(LampBoards.One, ExerciseMode.LogicOnly, AdapterFigures.Reference.Coarser(Core.Quantities.Duration.FromMicroseconds(100)));
        var slow = BoardFaults.Of(LampBoards.One).First(fault => fault.Name == "Q1=slow");
        Assert.True(bench.Observe().IsLike(bench.Observe(slow)));
    }

    private static FaultTrial WithoutBridges(FaultTrial trial) =>
        trial with { Bound = new([.. trial.Bound.Faults.Where(fault => fault.Mode != FaultMode.Bridged)], trial.Bound.Detectable) };
}
