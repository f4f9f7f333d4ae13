using System.Collections.Immutable;
using TestRig.Bench.Comparing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Comparing;

/// <summary>Whole sweeps of the simulated dome card, from the store: what is changed is the bench, and nothing else tells the comparison.</summary>
public class RunComparisonTests : IAsyncLifetime
{
    private const string Profile = "dome-drive";

    private IRunStore? _store;

    private IRunStore Store => _store ?? throw new InvalidOperationException("The store is opened before each test.");

    public async Task InitializeAsync() => _store = await RunStores.OpenAsync(Path.Combine(TestFolders.Create().FullName, "runs.db"), CancellationToken.None);

    public async Task DisposeAsync() => await Store.DisposeAsync();

    /// <param name="seed">Of the parts: another board of the same type with another seed.</param>
    private async Task<RunFigures> SweepAsync(string name, int seed, int repeats, params string[] faults)
    {
        var loaded = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{Profile}.yaml"), Repository.PartsFolder);
        var adapter = FaultyBench.Of(loaded.Board!, seed, faults, false);
        var options = new SweepOptions(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true) { Repeats = repeats };
        var sweep = await new Sweep(loaded.Board!, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(Unwatched.Sweep, CancellationToken.None);
        var heading = new RunHeading(name, RunKind.Sweep, loaded.Board!.Name, loaded.Source!, sweep.Mode, sweep.Started, "", "0.1.0") { Simulated = true };
        await StoredSweep.KeepAsync(Store, heading, sweep, adapter.Pins, sweep.Started + TimeSpan.FromSeconds(9), "{}", CancellationToken.None);
        var run = (await Store.FindAsync(name, CancellationToken.None))!;
        return (await RunFigures.ReadAsync(Store, run, loaded.Board!, CancellationToken.None))!;
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    public async Task A_board_is_as_it_was_when_nothing_was_done_to_it(int repeats)
    {
        var comparison = RunComparison.Of(await SweepAsync("before", 3, repeats), await SweepAsync("after", 3, repeats));
        Assert.All(comparison.Channels, channel => Assert.Equal(Standing.Same, channel.Overall));
        Assert.Equal((false, false), (comparison.AnyWorse, comparison.AnyUndecided));
        Assert.True(comparison.Channels.Sum(channel => channel.Figures.Count(figure => figure.Standing == Standing.Same)) > 40);
    }

    [Fact]
    public async Task A_repaired_channel_is_better_and_the_others_are_as_before()
    {
        var comparison = RunComparison.Of(await SweepAsync("before", 3, 1, "OK3=dead"), await SweepAsync("after", 3, 1));
        Assert.Equal("shutter-open", Assert.Single(comparison.Channels, channel => channel.Standing == Standing.Better).Channel);
        Assert.Equal(5, comparison.Channels.Count(channel => channel.Overall == Standing.Same));
        Assert.Contains("better: shutter-open", ComparisonWords.Verdict(comparison), StringComparison.Ordinal);
        Assert.False(comparison.AnyWorse);
    }

    /// <summary>The isolator's off delay is doubled: that is told with its figure, of no other channel, and the channel still works.</summary>
    [Fact]
    public async Task An_isolator_that_became_slower_within_its_limits_is_told_with_its_figure()
    {
        var (before, after) = (await SweepAsync("before", 2, 1), await SweepAsync("after", 2, 1, "OK2=slow:1.6x"));
        var comparison = RunComparison.Of(before, after);
        var changed = Assert.Single(comparison.Channels, channel => channel.Overall != Standing.Same);
        Assert.Equal(("rotate-right", Standing.Same, Standing.Worse), (changed.Channel, changed.Standing, changed.Overall));
        var figure = Assert.Single(changed.Figures, figure => figure.Standing == Standing.Worse);
        Assert.Equal("OK2.5", figure.Key.TestPoint);
        Assert.InRange(figure.After.Mean / figure.Before.Mean, 1.5, 1.7);
        Assert.True(comparison.AnyWorse);
        Assert.Equal(Standing.Better, RunComparison.Of(after, before).Channels.Single(channel => channel.Channel == "rotate-right").Overall);
    }

    [Fact]
    public async Task The_page_says_first_what_became_of_the_channels_and_shows_every_figure()
    {
        var comparison = RunComparison.Of(await SweepAsync("before", 3, 1, "OK3=dead"), await SweepAsync("after", 3, 1));
        var page = System.Xml.Linq.XDocument.Parse(ComparisonReport.Write(comparison, ImmutableDictionary<string, ChannelPicture>.Empty.Add("shutter-open", new([1, 2], "one over the other"))));
        var answer = page.Descendants("section").First();
        Assert.Equal(ComparisonWords.Verdict(comparison), answer.Element("h2")!.Value);
        Assert.Contains("shutter-open✓ better", answer.Value, StringComparison.Ordinal);
        Assert.Equal("one over the other", Assert.Single(page.Descendants("img")).Attribute("alt")!.Value);
        Assert.Equal(comparison.Channels.Sum(channel => channel.Figures.Length), page.Descendants("table").Sum(table => table.Elements("tr").Count() - 1));
        Assert.Single(page.Descendants("main"));
    }

    [Fact]
    public async Task A_run_that_did_nothing_has_no_figures()
    {
        var loaded = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{Profile}.yaml"), Repository.PartsFolder);
        await Store.BeginAsync(new("empty", RunKind.Soak, loaded.Board!.Name, loaded.Source!, ExerciseMode.LogicOnly, DateTimeOffset.UnixEpoch, "{}", "0.1.0"), CancellationToken.None);
        Assert.Null(await RunFigures.ReadAsync(Store, (await Store.FindAsync("empty", CancellationToken.None))!, loaded.Board!, CancellationToken.None));
    }
}
