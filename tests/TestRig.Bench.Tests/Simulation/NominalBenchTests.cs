using TestRig.Bench.Adapters;
using TestRig.Bench.Simulation;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>A bench whose parts are what their types say, and benches with other adapters.</summary>
public class NominalBenchTests
{
    private static Duration Us(long microseconds) => Duration.FromMicroseconds(microseconds);

    /// <summary>A bench at rest shows what the profile's supplies say: no reading differs from the next, and each is the nearest step of a 10-bit converter at 5 V.</summary>
    [Fact]
    public async Task A_nominal_supply_reads_as_the_nearest_step_to_what_the_profile_says_and_without_noise()
    {
        await using var adapter = Nominal();
        var supplies = SimulatedRun.Dome.Supplies.Where(supply => supply is { Motion: false, SensedAt.AdapterPin: not null }).ToList();
        Assert.NotEmpty(supplies);
        var readings = await adapter.ReadLevelsAsync([.. supplies.Select(supply => supply.SensedAt!.AdapterPin!)], 16, CancellationToken.None);
        Assert.All(supplies.Zip(readings), pair =>
        {
            var (supply, reading) = pair;
            Assert.Equal(reading.Minimum, reading.Maximum);
            var atPin = supply.Nominal.Value * (supply.SensedAt!.Divider?.Ratio ?? 1);
            // Half a step is 2.44 mV; the resistance of the supply itself moves it by far less. A full-scale reading is the last step.
            Assert.InRange(reading.Mean.Value, Math.Min(atPin, 5 - (5.0 / 1024)) - 0.003, atPin + 0.003);
        });
    }

    [Fact]
    public async Task Two_nominal_benches_agree_in_every_number()
    {
        await using var one = Nominal(motor: true);
        await using var other = Nominal(motor: true);
        Assert.Equal(await TextAsync(one), await TextAsync(other));

        static async Task<string> TextAsync(SimulatedAdapter adapter)
        {
            await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
            return SimulatedRun.Text((await adapter.RunAsync(SimulatedRun.Program("rotate-left", ExerciseMode.Motion), CancellationToken.None)).Capture);
        }
    }

    /// <summary>The time from edge to edge is that between the two steps of the program, seen from looks that are 19 ticks apart: no clock errs.</summary>
    [Fact]
    public async Task A_nominal_clock_keeps_the_program_s_time()
    {
        await using var adapter = Nominal();
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        var on = Duration.FromMilliseconds(5);
        var run = await adapter.RunAsync(new([new LinesStep(on, ["D22"]), new LinesStep(on + Us(400_000), [])], Us(500_000)), CancellationToken.None);
        var changes = run.Capture.Find("D22")!.Changes;
        Assert.Equal(2, changes.Length);
        // One look late at most at either end; a clock that is 0.1 % wrong would be 400 us off.
        Assert.InRange((changes[1].Estimate - changes[0].Estimate).Picoseconds, Us(399_990).Picoseconds, Us(400_010).Picoseconds);
    }

    /// <summary>A healthy switch bounces between its first and its last transition evenly and always alike: an even number of times, within what its type allows.</summary>
    [Fact]
    public void A_nominal_contact_bounces_evenly()
    {
        var random = Variation.Nominal.For("any contact");
        Assert.Equal([0.25, 0.5, 0.75], Variation.Places(random, 3));
        Assert.Equal(1, Variation.Factor(random, 0.3));
        Assert.Equal([true, false, true, false], Enumerable.Range(0, 4).Select(_ => Variation.Happens(random, 0.5)));
    }

    [Fact]
    public async Task A_coarser_adapter_resolves_what_was_asked_and_every_true_edge_lies_in_its_interval()
    {
        var figures = AdapterFigures.Reference.Coarser(Us(4));
        Assert.InRange(figures.Resolution.Picoseconds, Us(4).Picoseconds, Us(4).Picoseconds + figures.Tick.Picoseconds - 1);
        Assert.Equal(AdapterFigures.Reference, AdapterFigures.Reference.Coarser(Us(1)));
        for (var seed = 0; seed < 20; seed++)
        {
            await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, new Variation(seed), motorSupplyOn: false, figures);
            Assert.Equal(figures.Resolution, adapter.Identity.Resolution);
            await AssertTrueEdgesAreInTheirIntervalsAsync(adapter);
        }
    }

    [Fact]
    public async Task A_twin_states_what_the_real_adapter_states()
    {
        // An invented adapter: a clock of 8 ns, looks of 1.6 us.
        var real = new AdapterIdentity(
            "serial", "a port", "another board", "1.0", new(8_000), new(2_400_000), 0.0001, Us(60), Duration.FromMilliseconds(10_000), Us(24), new(3.3))
        { Look = new(1_600_000) };
        await using var twin = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, new Variation(1), motorSupplyOn: false, AdapterFigures.Like(real));
        Assert.Equal(
            (real.Tick, real.Resolution, real.ClockTolerance, real.StopBound, real.LongestProgram, real.SampleTime, real.Look),
            (twin.Identity.Tick, twin.Identity.Resolution, twin.Identity.ClockTolerance, twin.Identity.StopBound, twin.Identity.LongestProgram, twin.Identity.SampleTime, twin.Identity.Look));
        Assert.True(twin.Identity.IsSimulated);
        await AssertTrueEdgesAreInTheirIntervalsAsync(twin);
    }

    [Fact]
    public async Task A_twin_of_the_reference_adapter_is_the_reference_adapter()
    {
        await using var adapter = Nominal();
        Assert.Equal(AdapterFigures.Reference, AdapterFigures.Like(adapter.Identity));
    }

    [Fact]
    public async Task A_real_adapter_s_pins_decide_what_can_be_read_and_checked()
    {
        AdapterPin[] real =
        [
            new("D37", Line: false, Sense: true, Analog: true, Stop: false),
            new("A0", Line: false, Sense: true, Analog: false, Stop: false) { CanCheckLead = false },
            new("D22", Line: true, Sense: true, Analog: true, Stop: false) { CanCheckLead = true },
        ];
        await using var adapter = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, Variation.Nominal, motorSupplyOn: false, realPins: [.. real]);
        var pins = adapter.Pins.ToDictionary(pin => pin.Name);
        Assert.True(pins["D37"] is { Analog: true, CanCheckLead: true });
        Assert.True(pins["A0"] is { Analog: false, CanCheckLead: false });
        // A line of this profile, whatever else the pin could be.
        Assert.True(pins["D22"] is { Line: true, Analog: false, CanCheckLead: false });
        Assert.True(pins["A1"] is { Analog: true, CanCheckLead: true });
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        Assert.Equal(["A1"], (await adapter.CheckLeadsAsync(["A0", "A1"], CancellationToken.None)).Select(reading => reading.Pin));
    }

    /// <summary>Its own supply, converter and lead, and no noise: a reading is what the same bench reads on average, where one step is 4.9 mV and the noise of each sample less than that.</summary>
    [Fact]
    public async Task A_bench_without_noise_has_the_parts_of_its_seed()
    {
        var pin = SimulatedRun.Dome.Supplies.First(supply => supply is { Motion: false, SensedAt.AdapterPin: not null }).SensedAt!.AdapterPin!;
        var means = new List<double>();
        for (var seed = 1; seed <= 8; seed++)
        {
            await using var quiet = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, Variation.WithoutNoise(seed), motorSupplyOn: false);
            await using var noisy = new SimulatedAdapter(SimulatedRun.Dome, FaultPlan.None, new Variation(seed), motorSupplyOn: false);
            var reading = (await quiet.ReadLevelsAsync([pin], 64, CancellationToken.None)).Single();
            Assert.Equal(reading.Minimum, reading.Maximum);
            Assert.Equal((await noisy.ReadLevelsAsync([pin], 64, CancellationToken.None)).Single().Mean.Value, reading.Mean.Value, 0.0049);
            means.Add(reading.Mean.Value);
        }
        Assert.True(means.Distinct().Count() > 4, string.Join(' ', means));
    }

    /// <summary>A relay's contact bounces evenly on it, however its seed would have it bounce.</summary>
    [Fact]
    public void What_happens_by_chance_happens_in_the_middle_on_a_bench_without_noise()
    {
        var random = Variation.OfEvents(Variation.WithoutNoise(7).For("any contact"));
        Assert.Equal([0.25, 0.5, 0.75], Variation.Places(random, 3));
        var same = new Variation(7).For("any contact");
        Assert.Same(same, Variation.OfEvents(same));
        Assert.Equal(same.NextDouble(), Variation.WithoutNoise(7).For("any contact").NextDouble());
    }

    private static SimulatedAdapter Nominal(bool motor = false) => new(SimulatedRun.Dome, FaultPlan.None, Variation.Nominal, motor);

    /// <summary>Every edge of a capture next to what really happened, on the adapter's own clock, whose error is bounded by its tolerance.</summary>
    private static async Task AssertTrueEdgesAreInTheirIntervalsAsync(SimulatedAdapter adapter)
    {
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        var real = new List<(string Pin, long At)>();
        adapter.True.Changed = (pin, _) => real.Add((pin, adapter.Time.Now));
        var began = adapter.Time.Now + Duration.FromMilliseconds(4).Picoseconds;
        var capture = (await adapter.RunAsync(new([new LinesStep(Us(5000), ["D22"]), new LinesStep(Us(25_000), [])], Us(60_000)), CancellationToken.None)).Capture;
        var tolerance = adapter.Identity.ClockTolerance;
        var edges = 0;
        foreach (var signal in capture.Signals.Where(signal => !signal.Changes.IsEmpty))
        {
            var truth = real.Where(change => change.Pin == signal.Name).Select(change => change.At - began).ToList();
            Assert.Equal(truth.Count, signal.Changes.Length);
            foreach (var (at, change) in truth.Zip(signal.Changes))
            {
                edges++;
                Assert.InRange(at, (change.After - Instant.Start).Picoseconds * (1 - tolerance), (change.NotAfter - Instant.Start).Picoseconds * (1 + tolerance));
            }
        }
        Assert.True(edges >= 8, $"{edges} edges");
    }
}
