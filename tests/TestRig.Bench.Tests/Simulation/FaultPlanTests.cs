using TestRig.Bench.Simulation;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Simulation;

public class FaultPlanTests
{
    /// <summary>What cannot be there is refused with what can.</summary>
    [Theory]
    [InlineData("OK9=dead", "no part 'OK9'", "OK1, OK2, OK3")]
    [InlineData("OK3=inverted", "OK3, an isolator, cannot be 'inverted'", "dead, stuck-low, stuck-high, weak, slow")]
    [InlineData("OK3=slow:x", "cannot be 'slow:x'", "slow:5x")]
    [InlineData("OK3=slow:-3x", "cannot be 'slow:-3x'", "slow:5x")]
    [InlineData("OK4=intermittent:2", "cannot be 'intermittent:2'", "intermittent:0.3")]
    [InlineData("U3:99=dead", "pin 99 of U3", "18, 16, 14, 12, 9, 7")]
    [InlineData("U3:18=no-supply", "cannot be 'no-supply'", "U3=no-supply")]
    [InlineData("home-switch=dead", "a switch, cannot be 'dead'", "bouncing, stuck-low, stuck-high")]
    [InlineData("net:U3.18+U3.99=bridged", "no net 'U3.99'", "U3.18")]
    [InlineData("net:U3.18+U3.18=bridged", "two different nets", "U3.16")]
    [InlineData("net:U3.18+LOGIC=bridged", "no net 'LOGIC'", "U3.18")]
    [InlineData("net:U3.18+U3.16=open", "cannot be 'open'", "bridged")]
    [InlineData("lead:U9.1=open", "no lead goes to 'U9.1'", "U3.18")]
    [InlineData("lead:U3.18=bridged", "cannot be 'bridged'", "open")]
    [InlineData("lead:U3.18=at-U3.18", "write another net", "U3.16")]
    [InlineData("lead:U3.18=at-U9.1", "no net 'U9.1'", "U3.16")]
    [InlineData("lead:U3.18+U3.18=swapped", "two different test points", "swapped")]
    [InlineData("lead:U3.18+U9.1=swapped", "no lead goes to 'U9.1'", "U3.16")]
    [InlineData("lead:U3.18+U3.16=bridged", "cannot be 'bridged'", "swapped")]
    [InlineData("line:D22=open", "no line 'D22'", "rotate-left")]
    [InlineData("line:rotate-left=slow", "cannot be 'slow'", "open")]
    [InlineData("supply:LOGIC=off", "no supply 'LOGIC'", "logic, isolated, motor")]
    [InlineData("supply:logic=dead", "cannot be 'dead'", "off")]
    [InlineData("motor:dome=dead", "no channel 'dome' shows a motion", "rotate-left")]
    [InlineData("motor:rotate-left=slow", "cannot be 'slow'", "dead")]
    [InlineData("dome-encoder=slow", "dome-encoder, a pick-up, cannot be 'slow'", "dome-encoder=dead")]
    [InlineData("home-switch=active", "no stop input", "limit-left")]
    [InlineData("emergency-stop=dead", "cannot be 'dead'", "active")]
    [InlineData("OK3=disabled", "no enable", "U3, U4")]
    [InlineData("U3:18=disabled", "pin 18 of U3 is no enable", "1, 19")]
    [InlineData("U4=holds-low", "write the input that is shorted", "2, 4, 6, 8, 11, 13")]
    [InlineData("Q1:C=holds-high", "write the input that is shorted", "B")]
    [InlineData("OK3", "write WHAT=HOW", "lead:U3.16=open")]
    [InlineData("OK3=", "write WHAT=HOW", "lead:U3.16=open")]
    public void What_cannot_be_is_refused_with_what_is_possible(string fault, string problem, string possible)
    {
        var (plan, errors) = FaultPlan.Of(SimulatedRun.Dome, [fault]);
        Assert.Null(plan);
        var error = Assert.Single(errors);
        Assert.StartsWith($"--fault '{fault}': ", error, StringComparison.Ordinal);
        Assert.Contains(problem, error, StringComparison.Ordinal);
        Assert.Contains(possible, error, StringComparison.Ordinal);
    }

    [Fact]
    public void All_errors_are_told_at_once()
    {
        var (_, errors) = FaultPlan.Of(SimulatedRun.Dome, ["OK9=dead", "OK3=dead", "OK3=weak", "lead:X=open"]);
        Assert.Equal(3, errors.Length);
        Assert.Contains("already", errors[1], StringComparison.Ordinal);
    }

    /// <summary>The points in front of the fault do the same as without it, the others do not.</summary>
    [Theory]
    [InlineData("OK3=dead", "OK3.5", "Q3.C")]
    [InlineData("OK3=stuck-low", "OK3.5", "Q3.C")]
    [InlineData("OK3=stuck-high", "OK3.5", "Q3.C")]
    [InlineData("U4:14=inverted", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("U4:14=stuck-high", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("Q3=dead", "Q3.C")]
    [InlineData("U3=no-supply", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("lead:U4.14=open", "U4.14")]
    [InlineData("lead:OK3.5=open", "OK3.5")]
    [InlineData("net:OK3.5+OK4.5=bridged", "OK4.5", "Q4.C")]
    [InlineData("U3=disabled", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("U3:1=disabled", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("U4:6=holds-low", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("OK3:2=holds-low", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("Q3:B=holds-low", "OK3.5", "Q3.C")]
    [InlineData("Q3:B=holds-high", "OK3.5", "Q3.C")]
    [InlineData("lead:U4.14=at-U3.14", "U4.14")]
    [InlineData("lead:U3.14+U4.14=swapped", "U3.14", "U4.14")]
    [InlineData("lead:OK3.5=at-OK4.5", "OK3.5")]
    [InlineData("line:shutter-open=open", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("line:shutter-open=dead", "J1.6", "U3.14", "U4.14", "OK3.5", "Q3.C")]
    [InlineData("line:rotate-left=dead")]
    [InlineData("OK4=dead")]
    public async Task A_fault_changes_what_it_should_and_nothing_else(string fault, params string[] changed)
    {
        var good = await SimulatedRun.CaptureAsync(3, "shutter-open");
        var bad = await SimulatedRun.CaptureAsync(3, "shutter-open", faults: fault);
        var differing = good.Signals.Select(signal => signal.Name)
            .Where(point => !SimulatedRun.Levels(good, point).SequenceEqual(SimulatedRun.Levels(bad, point)));
        // A package without supply, or without its enable, idles all its channels alike.
        if (fault.StartsWith("U3", StringComparison.Ordinal))
            differing = differing.Where(point => SimulatedRun.Levels(bad, point).Length > 1 || SimulatedRun.Levels(good, point).Length > 1);
        Assert.Equal(changed.Order(), differing.Order());
    }

    [Fact]
    public async Task A_slow_isolator_takes_its_factor_longer_in_both_directions()
    {
        var good = await SimulatedRun.CaptureAsync(3, "shutter-open");
        var slow = await SimulatedRun.CaptureAsync(3, "shutter-open", faults: "OK3=slow:10x");
        for (var edge = 0; edge < 2; edge++)
        {
            var ratio = Delay(slow, edge).ToSeconds() / Delay(good, edge).ToSeconds();
            // 5 us is read to some 2 us.
            Assert.InRange(ratio, 6, 16);
        }

        Duration Delay(Core.Captures.Capture capture, int edge) =>
            capture.Find("OK3.5")!.Changes[edge].Estimate - capture.Find("U4.14")!.Changes[edge].Estimate;
    }

    [Theory]
    [InlineData("U3:14=weak", "U3.14", 0.8, 2.0)] // between VIL and VIH of TTL: FAQ 4902 quoting TI SN74ALS1004
    [InlineData("OK3=weak", "OK3.5", 3.6, 8.4)] // 0.3 and 0.7 of 12 V: FAQ 4902 quoting JEITA ED-5007
    public async Task A_weak_output_reaches_an_undefined_level_when_commanded_and_a_good_one_otherwise(string fault, string point, double low, double high)
    {
        var levels = (await SimulatedRun.CaptureAsync(3, "shutter-open", faults: fault)).Levels.Where(level => level.Signal == point).ToList();
        Assert.Equal(2, levels.Count);
        Assert.InRange(levels[0].Mean.Value, low, high);
        Assert.NotInRange(levels[1].Mean.Value, low, high);
    }
}
