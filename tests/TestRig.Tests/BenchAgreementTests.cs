using System.Globalization;
using System.Text;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;
using TestRig.Tests.FaultSamples;
using Xunit.Abstractions;

namespace TestRig.Tests;

/// <summary>
/// The simulated bench and the real firmware on the emulated board share nothing: neither the model of a part nor that of a clock. A fault has to give the same
/// condition of every channel on both. Here a sample of all single faults; tools/compare-benches takes them all.
/// </summary>
public class BenchAgreementTests(ITestOutputHelper output)
{
    /// <summary>Every how many faults one is tried: set by tools/compare-benches.</summary>
    private const string StepVariable = "TESTRIG_FAULT_STEP";

    private const int StepInCi = 23;

    private static readonly SweepOptions _options = new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false) { Together = true };

    [Theory]
    [InlineData("dome-drive", "dome", EmulatedChip.Mega2560Name)]
    [InlineData("tide-gauge", "tide-gauge", EmulatedChip.Mega2560Name)]
    [InlineData("carillon", "carillon", EmulatedChip.Mega328PName)]
    public async Task A_fault_gives_the_same_condition_of_every_channel_on_both_benches(string profile, string emulated, string chip)
    {
        var board = Load(profile);
        var step = Environment.GetEnvironmentVariable(StepVariable) is { } written ? int.Parse(written, CultureInfo.InvariantCulture) : StepInCi;
        var table = new StringBuilder();
        var (tried, different) = (0, 0);
        foreach (var fault in EveryFault.Of(board).Where(fault => !IsAboutStrength(board, fault)).Where((_, index) => index % step == 0))
        {
            var simulated = Told(board, await SimulatedAsync(board, fault));
            var real = Told(board, await EmulatedAsync(board, emulated, chip, fault));
            tried++;
            different += simulated == real ? 0 : 1;
            table.AppendLine(CultureInfo.InvariantCulture, $"{(simulated == real ? "same     " : "DIFFERENT")} {fault}: {simulated}{(simulated == real ? "" : $" | emulated: {real}")}");
        }
        output.WriteLine($"{profile}: {tried} faults, {different} different\n{table}");
        Assert.True(different == 0, $"{table}");
        Assert.True(tried > 3, "too few faults were tried");
    }

    private static Board Load(string profile)
    {
        var result = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", $"{profile}.yaml"), Path.Combine(Repository.Root, "profiles", "parts"));
        return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
    }

    private static async Task<SweepResult> SimulatedAsync(Board board, string fault)
    {
        var (plan, errors) = FaultPlan.Of(board, [fault]);
        Assert.Empty(errors);
        await using var adapter = new SimulatedAdapter(board, plan!, seed: 1, motorSupplyOn: false);
        return await SweepAsync(board, adapter);
    }

    private static async Task<SweepResult> EmulatedAsync(Board board, string emulated, string chip, string fault)
    {
        using var bench = EmulatedBench.Start(
            [FaultOnEmulatedBench.Of(board, fault)], board: Path.Combine(Repository.Root, "tools", "emulated-bench", "boards", $"{emulated}.board"), chip: EmulatedChip.Of(chip));
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, CancellationToken.None);
        return await SweepAsync(board, adapter);
    }

    /// <summary>
    /// Outputs of two kinds of parts bridged, or two of one channel, which makes a loop: which of them is stronger, what a logic output does that is held above its own
    /// supply, and whether a loop of gates swings or hangs, is in no profile and in no data sheet. Each bench has an answer of its own.
    /// </summary>
    private static bool IsAboutStrength(Board board, string fault)
    {
        if (fault.Split(':', '+', '=') is not ["net", var first, var second, "bridged"])
            return false;
        (Channel Channel, Type Kind) Of(string net)
        {
            var channel = board.Channels.First(channel => channel.Stages.Any(stage => stage.OutputName == net));
            return (channel, channel.Stages.First(stage => stage.OutputName == net).Part.GetType());
        }
        return Of(first).Kind != Of(second).Kind || Of(first).Channel == Of(second).Channel;
    }

    private static Task<SweepResult> SweepAsync(Board board, IAdapter adapter) =>
        new Sweep(board, adapter, _options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);

    /// <summary>What does not work, by channel; or why nothing could be told.</summary>
    private static string Told(Board board, SweepResult result)
    {
        if (result.Ending.Outcome != SweepOutcome.Complete)
            return $"stopped ({result.Ending.Outcome})";
        var faulty = result.Channels.Where(channel => channel.Condition != Condition.Working).ToList();
        if (faulty.Count == 0)
            return "all working";
        return faulty.Count == board.Channels.Length && faulty.Select(channel => channel.Condition).Distinct().Count() == 1
            ? $"all {faulty[0].Condition}"
            : string.Join(", ", faulty.Select(channel => $"{channel.Channel.Name} {channel.Condition}"));
    }
}
