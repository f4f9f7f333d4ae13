using System.Collections.Immutable;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Recordings;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Soaking;

/// <summary>The store alone has all that a sweep's report needs: written again, it is the same to the letter.</summary>
public class StoredSweepTests
{
    [Theory]
    [InlineData("dome-drive", false, false, 1, "OK3=dead")]
    [InlineData("dome-drive", false, false, 6, "OK2=intermittent:0.4")]
    [InlineData("dome-drive", true, true, 1, "home-switch=bouncing")]
    [InlineData("dome-drive", false, false, 3, "emergency-stop=active")]
    [InlineData("carillon", false, true, 2, "M1:S0=stuck-low")]
    [InlineData("tide-gauge", false, false, 2)]
    public async Task A_report_is_written_again_as_it_was(string profile, bool motion, bool together, int repeats, params string[] faults)
    {
        var loaded = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{profile}.yaml"), Repository.PartsFolder);
        var board = loaded.Board!;
        var adapter = FaultyBench.Of(board, 1, faults, motion);
        var options = new SweepOptions(motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true) { Together = together, Repeats = repeats };
        var sweep = await new Sweep(board, adapter, options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(Unwatched.Sweep, CancellationToken.None);
        Assert.Equal(repeats > 1 && sweep.Ending.Outcome == SweepOutcome.Complete ? repeats : 0, sweep.Rounds.Length);

        await using var store = await RunStores.OpenAsync(Path.Combine(TestFolders.Create().FullName, "runs.db"), CancellationToken.None);
        var heading = new RunHeading("one", RunKind.Sweep, board.Name, loaded.Source!, sweep.Mode, sweep.Started, "", "0.1.0") { Simulated = true };
        await StoredSweep.KeepAsync(store, heading, sweep, adapter.Pins, sweep.Started + TimeSpan.FromSeconds(9), "{}", CancellationToken.None);
        var known = (await store.FindAsync("one", CancellationToken.None))!;
        Assert.Equal(Math.Max(1, sweep.Rounds.Length), known.Cycles);

        var again = await StoredSweep.ReadAsync(store, known, ProfileLoader.Load(known.Heading.Profile).Board!, BoardDiagnosis.Of, CancellationToken.None);
        Assert.Equal(RunJson.Write(sweep, "p.yaml", ImmutableDictionary<string, string>.Empty), RunJson.Write(again, "p.yaml", ImmutableDictionary<string, string>.Empty));
        Assert.Equal(RunReport.Write(sweep, "p.yaml", []), RunReport.Write(again, "p.yaml", []));
        foreach (var (one, other) in sweep.Channels.Zip(again.Channels).Where(pair => pair.First.Capture is not null))
            Assert.Equal(SomeVcd(one.Capture!), SomeVcd(other.Capture!));
    }

    /// <summary>Commanded again and again, one lamp in and out, one point not recorded.</summary>
    [Fact]
    public async Task So_is_that_of_a_recording()
    {
        string[] changes = [.. Enumerable.Range(0, 5).SelectMany(time => LampRecording.Pulse(1, 100_000 + (time * 2_000_000L), 200_000 + (time * 2_000_000L), time == 3 ? 60 : 12)), .. LampRecording.Pulse(2, 12_000_000, 12_100_000)];
        var dump = LampRecording.Vcd(20_000_000, changes).Replace("\\U1.16", "\\other", StringComparison.Ordinal);
        var (sweep, pins) = LampRecording.Judge("lamps.vcd", dump);
        await using var store = await RunStores.OpenAsync(Path.Combine(TestFolders.Create().FullName, "runs.db"), CancellationToken.None);
        var board = Path.Combine(TestFolders.Create().FullName, "lamps.yaml");
        await File.WriteAllTextAsync(board, LampRecording.Profile);
        var source = ProfileLoader.Load(board, Repository.PartsFolder).Source!;
        await StoredSweep.KeepAsync(store, new("one", RunKind.Sweep, sweep.Board.Name, source, sweep.Mode, sweep.Started, "", "0.1.0"), sweep, pins, sweep.Started, "{}", CancellationToken.None);
        var known = (await store.FindAsync("one", CancellationToken.None))!;
        Assert.Equal(5, known.Cycles);

        var again = await StoredSweep.ReadAsync(store, known, ProfileLoader.Load(known.Heading.Profile).Board!, BoardDiagnosis.Of, CancellationToken.None);
        Assert.Equal(RunJson.Write(sweep, "p.yaml", ImmutableDictionary<string, string>.Empty), RunJson.Write(again, "p.yaml", ImmutableDictionary<string, string>.Empty));
        Assert.Equal(RunReport.Write(sweep, "p.yaml", []), RunReport.Write(again, "p.yaml", []));
    }

    private static string SomeVcd(Core.Captures.Capture capture) => CaptureVcd.Write(new("board", "channel", "adapter", DateTimeOffset.UnixEpoch, "0.1.0"), capture, exercise: null);
}
