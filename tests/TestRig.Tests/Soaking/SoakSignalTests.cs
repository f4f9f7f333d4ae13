namespace TestRig.Tests.Soaking;

/// <summary>A soak that its operator, or the system, ends before its time.</summary>
public class SoakSignalTests
{
    private const int Cycles = 4;

    [Theory]
    [InlineData("", 6)]
    [InlineData("OK3=dead", 1)]
    public void Ctrl_C_once_finishes_and_stores_the_cycle_in_hand_and_a_resumed_run_does_the_rest(string fault, int exitCode)
    {
        using var soaked = new SoakedBench(fault.Length > 0 ? [fault] : []);
        using var run = soaked.Soak("--cycles", $"{Cycles}");
        soaked.WaitForLineOfSecondCycle(run);
        run.Interrupt();
        run.WaitForEnd(exitCode);
        var stored = soaked.Stored;
        Assert.InRange(stored.Cycles, 2, Cycles - 1);
        stored.AssertCounts(stored.Cycles);
        Assert.False(stored.Ended);
        Assert.Contains("Cancelled by the operator. Every cycle is stored.", run.Output, StringComparison.Ordinal);
        AssertResumes(soaked, run, stored, cut: 0);
    }

    [Fact]
    public void Ctrl_C_twice_ends_it_at_once_and_the_cycle_that_was_cut_short_is_not_counted()
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--cycles", $"{Cycles}");
        soaked.WaitForLineOfSecondCycle(run, SoakedBench.Pins[0]);
        run.Interrupt();
        run.Interrupt();
        AssertCutShort(soaked, run);
    }

    [Fact]
    public void The_systems_word_to_end_ends_it_at_once_and_the_cycle_that_was_cut_short_is_not_counted()
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--cycles", $"{Cycles}");
        soaked.WaitForLineOfSecondCycle(run, SoakedBench.Pins[0]);
        run.Terminate();
        AssertCutShort(soaked, run);
    }

    private static void AssertCutShort(SoakedBench soaked, ProgramRun run)
    {
        run.WaitForEnd(6);
        var stored = soaked.Stored;
        stored.AssertCounts(stored.Cycles);
        Assert.False(stored.Ended);
        Assert.Contains($"Cycle {stored.Cycles + 1} was cut short and is not counted; every one before it is stored.", run.Output, StringComparison.Ordinal);
        AssertResumes(soaked, run, stored, cut: 1);
    }

    private static void AssertResumes(SoakedBench soaked, ProgramRun run, StoredSoak stored, int cut)
    {
        // The very words that it told.
        var told = $"testrig soak {Repository.DomeProfile} --resume {stored.Id} --adapter serial:{soaked.Link} --store {soaked.Store}";
        Assert.Contains(told, run.Output, StringComparison.Ordinal);
        using var resumed = ProgramRun.ToEnd(told.Split(' ')[1..]);
        var complete = soaked.Stored;
        Assert.Equal(complete.ExitCode, resumed.ExitCode);
        Assert.Contains($"resumed after {stored.Cycles} cycle", resumed.Output, StringComparison.Ordinal);
        Assert.True(complete.Ended);
        complete.AssertCounts(Cycles);
        soaked.AssertLines(cut);
    }
}
