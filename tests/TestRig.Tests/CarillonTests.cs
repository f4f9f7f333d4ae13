using TestRig.Tests.Expectations;

namespace TestRig.Tests;

/// <summary>A card with more test points than an ATmega328P has inputs, behind two multiplexers: the real firmware on the emulated bench.</summary>
public class CarillonTests
{
    public static IEnumerable<object[]> SomeFaults => CarillonFaults.All.Where((_, index) => index % 6 == 1);

    public static IEnumerable<object[]> SomeFaultsOfMultiplexers => CarillonFaults.OfMultiplexers.Where((_, index) => index % 3 == 0);

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_healthy_card_exits_0_with_every_channel_working(bool motion)
    {
        using var bench = Bench([], motion);
        using var run = Sweep(bench, motion);
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.Equal(4, record.Conditions.Count);
        Assert.All(record.Conditions.Values, condition => Assert.Equal("working", condition));
        Assert.True(bench.StackUntouched() > 0, "the stack has reached the variables");
        Assert.All(bench.EndAndReadLines(), line => Assert.InRange(line.Length(long.MaxValue), 1, 300_000_000)); // longest-on of the profile
    }

    /// <summary>
    /// One fault each. Nothing but the emulated board knows of it. Every sixth of the list: each exercise comes once for each address of the multiplexers, and the lines rest in
    /// between. <see cref="BenchAgreementTests"/> has others.
    /// </summary>
    [Theory]
    [MemberData(nameof(SomeFaults))]
    public void One_fault_exits_1_and_is_named(string fault, bool motion, string channels, string condition, string suspect)
    {
        using var bench = Bench([fault], motion);
        using var run = Sweep(bench, motion);
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.All(record.Conditions, entry => Assert.Equal($"{entry.Key}: {(CarillonFaults.Concerns(channels, entry.Key) ? condition : "working")}", $"{entry.Key}: {entry.Value}"));
        Assert.Contains(record.FirstSuspects, known => known.Contains(suspect, StringComparison.Ordinal));
    }

    /// <summary>A wrong point, or none, must never pass for the right one.</summary>
    [Theory]
    [MemberData(nameof(SomeFaultsOfMultiplexers))]
    [InlineData("lead:SEL0=open", "strike-e strike-high-c", "select pin S0 of M1 and M2")] // of both multiplexers: the pull-down makes the bit low
    public void A_faulty_multiplexer_leaves_no_channel_working_whose_points_are_not_seen_and_is_named(string fault, string channels, string suspect)
    {
        using var bench = Bench([fault], motion: false);
        using var run = Sweep(bench, motion: false);
        Assert.True(run.ExitCode is 1 or 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var record = RunRecord.Of(run);
        Assert.Equal(suspect, record.FirstSuspects[0]);
        Assert.All(record.Conditions.Where(entry => CarillonFaults.Concerns(channels, entry.Key)), entry => Assert.NotEqual("working", entry.Value));
    }

    private static EmulatedBench Bench(string[] faults, bool motion) => EmulatedBench.Start(faults, motion, board: Repository.CarillonBoard, chip: EmulatedChip.Mega328P);

    private static ProgramRun Sweep(EmulatedBench bench, bool motion) =>
        ProgramRun.ToEnd(["sweep", Repository.CarillonProfile, motion ? "--allow-motion" : "--fast", "--adapter", bench.Adapter, "--json", "-"]);
}
