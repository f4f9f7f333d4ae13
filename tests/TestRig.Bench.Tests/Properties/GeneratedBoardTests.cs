using System.Collections.Immutable;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using TestRig.Bench.Campaigns;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Properties;

/// <summary>
/// What holds of every board: chains of one to five stages of all kinds of parts, with more and fewer leads, on the simulated bench. Drawn from one seed, so that a sample that passed passes again; another
/// <see cref="Seed"/>, and more of them, look further.
/// </summary>
public class GeneratedBoardTests
{
    /// <summary>Faults that are tried on each board, drawn by how they fail first.</summary>
    private const int FaultsOfEach = 4;

    private const string Seed = "20261128,1985";

    private static Arbitrary<int> Seeds { get; } = Gen.Choose(1, 1_000_000).ToArbitrary();

    [Property(Replay = Seed, MaxTest = 12)]
    public Property A_board_on_which_nothing_is_wrong_works() =>
        Prop.ForAll(GeneratedBoard.Any.ToArbitrary(), Seeds, (generated, seed) =>
        {
            var result = Bench(generated.Build()).Sweep(seed);
            return (Detection.FalseAlarm(result) is null).Label($"{Detection.FalseAlarm(result)}");
        });

    /// <summary>Whatever a sweep can show at all, it does, and what was broken is among what the diagnosis names.</summary>
    [Property(Replay = Seed, MaxTest = 12)]
    public Property Any_single_injected_fault_is_in_the_reported_groups() =>
        Prop.ForAll(GeneratedBoard.Any.ToArbitrary(), Seeds, (generated, seed) =>
        {
            var bench = Bench(generated.Build());
            var healthy = bench.Observe();
            var missed = Drawn(bench, seed).Where(fault => !bench.Observe(fault).IsLike(healthy)).Select(fault => (fault, Result: bench.Sweep(seed, fault)))
                .Where(entry => !entry.Result.Diagnosis.Suspects.Any(suspect => suspect.Faults.Contains(entry.fault)))
                .Select(entry => $"{entry.fault}: {Told(entry.Result)}").ToList();
            return (missed.Count == 0).Label(string.Join('\n', missed));
        });

    /// <summary>
    /// A channel that shares nothing with the others, supplies included, and works: their verdicts stay, and where they were seen to do the same (what does not settle does something else each time) so does
    /// what is suspected, but for what only the new channel could have: a bridge to it, a lead that is clipped there.
    /// </summary>
    [Property(Replay = Seed, MaxTest = 10)]
    public Property Adding_a_quiet_channel_changes_neither_verdicts_nor_diagnosis() =>
        Prop.ForAll(GeneratedBoard.Any.ToArbitrary(), GeneratedChain.Any.ToArbitrary(), Seeds, (generated, chain, seed) =>
        {
            var (alone, beside) = (Bench(generated.Build()), Bench((generated with { Apart = chain }).Build()));
            var sweeps = Drawn(alone, seed).Select(fault => (fault, Alone: alone.Sweep(seed, fault), Beside: beside.Sweep(seed, fault))).ToList();
            var changed = sweeps.Where(sweep => Conditions(sweep.Alone) != Conditions(sweep.Beside) || (SawTheSame(sweep.Alone, sweep.Beside) && Suspects(sweep.Alone) != Suspects(sweep.Beside)))
                .Select(sweep => $"{sweep.fault}: {Told(sweep.Alone)}\n  with another channel: {Told(sweep.Beside)}").ToList();
            return (changed.Count == 0).Label(string.Join('\n', changed)).Classify(sweeps.TrueForAll(sweep => SawTheSame(sweep.Alone, sweep.Beside)), "all seen to do the same");
        });

    /// <summary>What an adapter could not look at, no fault makes good: a channel of whose exercise a stretch is missing is never working, whatever is broken.</summary>
    [Property(Replay = Seed, MaxTest = 8)]
    public Property A_fault_never_makes_a_channel_work_of_which_a_stretch_is_missing() =>
        Prop.ForAll(GeneratedBoard.Any.ToArbitrary(), Seeds, (generated, seed) =>
        {
            var board = generated.Build();
            var working = Drawn(Bench(board), seed)
                .SelectMany(fault => BlindSweep(board, seed, fault).Channels.Where(channel => channel.Condition == Condition.Working).Select(channel => $"{fault}: {channel.Channel.Name}: {channel.Summary}")).ToList();
            return (working.Count == 0).Label(string.Join('\n', working));
        });

    private static TrialBench Bench(Board board) => new(board, ExerciseMode.LogicOnly, AdapterFigures.Reference);

    private static ImmutableArray<BoardFault> Drawn(TrialBench bench, int seed)
    {
        var random = new Random(seed);
        BoardFault[][] modes = [.. BoardFaults.Of(bench.Board).Where(fault => bench.CanHave(fault)).GroupBy(fault => fault.Mode).OrderBy(mode => mode.Key).Select(mode => mode.ToArray())];
        random.Shuffle(modes);
        return [.. modes.Take(FaultsOfEach).Select(mode => mode[random.Next(mode.Length)])];
    }

    private static string Told(SweepResult result) => $"{Conditions(result)}; {Suspects(result)}";

    /// <summary>Of the channels that are no addition.</summary>
    private static string Conditions(SweepResult result) => $"{result.Ending.Outcome}: "
        + string.Join(", ", result.Channels.Where(channel => !IsApart(channel.Channel.Name)).Select(channel => $"{channel.Channel.Name} {channel.Condition}"));

    /// <summary>The faults of each first group that do not need the addition.</summary>
    private static string Suspects(SweepResult result) => string.Join(" | ", result.Diagnosis.Faults.Select(found =>
        string.Join(' ', found.Suspects[0].Faults.Where(fault => !IsApart(fault.Name)).Select(fault => fault.Name).Order(StringComparer.Ordinal))));

    private static bool SawTheSame(SweepResult alone, SweepResult beside)
    {
        var seen = SightSets.Of(beside.Seen);
        return SightSets.Of(alone.Seen).All(one => seen.TryGetValue(one.Key, out var other) && other == one.Value);
    }

    private static bool IsApart(string name) => name.Contains(GeneratedBoard.ApartPrefix, StringComparison.Ordinal);

    private static SweepResult BlindSweep(Board board, int seed, BoardFault fault)
    {
        var adapter = new BlindAdapter(new SimulatedAdapter(board, FaultPlan.Of(board, fault.Written).Plan!, seed, motorSupplyOn: false), new Random(seed));
        return new Sweep(board, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None).GetAwaiter().GetResult();
    }
}
