namespace TestRig.Tests.Soaking;

/// <summary>A soak whose adapter goes away, or is wanted by another.</summary>
public class SoakAdapterTests
{
    private const int Cycles = 3;

    [Theory]
    [InlineData("unplug")]
    [InlineData("unplug supply")]
    public void An_adapter_that_is_unplugged_is_waited_for_and_the_run_goes_on_when_it_is_back(string mishap)
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--cycles", $"{Cycles}");
        soaked.WaitForLineOfSecondCycle(run, SoakedBench.Pins[0]);
        soaked.Bench.Tell(mishap);
        run.WaitFor("\nGONE");
        run.WaitFor("\nwaiting");
        soaked.Bench.Tell("plug");
        run.WaitForEnd();
        Assert.Equal(soaked.Stored.ExitCode, run.ExitCode);
        Assert.Contains("unplugged", run.Output, StringComparison.Ordinal);
        // Found at the beginning, and again.
        Assert.Equal(2, run.Output.Split("\nadapter").Length - 1);
        var stored = soaked.Stored;
        stored.AssertCounts(Cycles);
        Assert.Equal((true, 2), (stored.Ended, stored.Sessions));
        soaked.AssertLines(cut: 1);
    }

    [Fact]
    public void A_second_soak_on_the_same_adapter_is_refused_and_the_first_one_goes_on_undisturbed()
    {
        using var soaked = new SoakedBench();
        using var first = Begun(soaked);
        // By its other name, and with a store of its own.
        using var second = ProgramRun.ToEnd("soak", Repository.DomeProfile, "--adapter", soaked.Bench.Adapter, "--cycles", "1").WaitForEnd(3);
        Assert.Contains($"Another program holds {soaked.Bench.Port}", second.Error, StringComparison.Ordinal);
        Assert.Contains("Close what uses it", second.Error, StringComparison.Ordinal);
        AssertUndisturbed(soaked, first);
    }

    [Fact]
    public void A_second_soak_of_the_same_run_is_refused_by_its_adapter_and_changes_nothing_in_the_store()
    {
        using var soaked = new SoakedBench();
        using var first = Begun(soaked);
        using var second = soaked.Soak("--resume", soaked.Stored.Id).WaitForEnd(3);
        Assert.Contains($"Another program holds {soaked.Link}", second.Error, StringComparison.Ordinal);
        AssertUndisturbed(soaked, first);
    }

    /// <summary>A soak that goes on until it is told to end.</summary>
    private static ProgramRun Begun(SoakedBench soaked)
    {
        var run = soaked.Soak("--cycles", "1000000");
        soaked.WaitForLineOfSecondCycle(run, SoakedBench.Pins[0]);
        return run;
    }

    private static void AssertUndisturbed(SoakedBench soaked, ProgramRun first)
    {
        Assert.False(first.HasEnded);
        soaked.Bench.WaitForLines(lines => lines.Contains("=on", StringComparison.Ordinal));
        first.Interrupt();
        first.WaitForEnd(6);
        Assert.DoesNotContain("GONE", first.Output, StringComparison.Ordinal);
        var stored = soaked.Stored;
        Assert.Equal((0L, 1), (stored.Failing, stored.Sessions));
        stored.AssertCounts(stored.Cycles);
        soaked.AssertLines();
    }
}
