using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Soaking;

/// <summary>Watching a board that nobody commands, through the real firmware.</summary>
public class IdleWatchTests
{
    private const long Millisecond = 1_000_000;

    [Fact]
    public void A_board_that_stays_as_it_is_passes_and_no_line_is_ever_on()
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--watch-idle", "--cycles", "1").WaitForEnd(0);
        Assert.Contains("all 6 channels worked in 1 cycle.", run.Output, StringComparison.Ordinal);
        soaked.Stored.AssertCounts(1);
        Assert.Empty(soaked.Bench.EndAndReadLines());
    }

    /// <summary>An isolator that conducts for moments by itself.</summary>
    [Fact]
    public void What_changes_though_nobody_commands_it_is_told_of_its_channel_alone()
    {
        using var soaked = new SoakedBench();
        using var run = soaked.Soak("--watch-idle", "--cycles", "1", "--json", "found.json");
        run.WaitFor("\nadapter");
        // Through the windows, and the moments between them in which nobody looks.
        for (var round = 0; round < 20 && !run.HasEnded; round++)
        {
            soaked.Bench.Tell("fault OK3=stuck-low");
            soaked.Bench.WaitForTime(soaked.Bench.Time() + (50 * Millisecond));
            soaked.Bench.Tell("repair OK3=stuck-low");
            soaked.Bench.WaitForTime(soaked.Bench.Time() + (200 * Millisecond));
        }
        run.WaitForEnd(1);
        Assert.Contains("OK3.5 changed", run.Output, StringComparison.Ordinal);
        Assert.Contains("though nothing was commanded", run.Output, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "found.json")));
        Assert.Equal(
            [("shutter-open", 1)],
            json.RootElement.GetProperty("channels").EnumerateArray().Where(channel => channel.GetProperty("failures").GetInt32() > 0).Select(channel => (channel.GetProperty("name").GetString()!, channel.GetProperty("failures").GetInt32())));
        Assert.Equal(1, soaked.Stored.Failing);
        using var judge = ProgramRun.ToEnd("runs", "judge", soaked.Stored.Id, "--store", soaked.Store).WaitForEnd(1);
        Assert.Contains("shutter-open: BOUNCING", judge.Output, StringComparison.Ordinal);
        Assert.Empty(soaked.Bench.EndAndReadLines());
    }

    /// <summary>Behind multiplexers a cycle watches each of their inputs in turn, for longer than the minute that other commands get to end in.</summary>
    [Fact]
    public void Ctrl_C_finishes_a_cycle_that_takes_longer_than_a_minute()
    {
        var store = Path.Combine(TestFolders.Create().FullName, "runs.db");
        using var bench = EmulatedBench.Start(board: Repository.CarillonBoard, chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.Start("soak", Repository.CarillonProfile, "--watch-idle", "--cycles", "2", "--adapter", bench.Adapter, "--store", store);
        // Armed: a cycle is in hand.
        bench.WaitForLines(lines => lines.Contains("=idle", StringComparison.Ordinal));
        run.Interrupt();
        run.WaitForEnd(6);
        Assert.Contains("Cancelled by the operator. Every cycle is stored.", run.Output, StringComparison.Ordinal);
        Assert.Single(StoreReading.Of(store).Runs).AssertCounts(1);
        Assert.Empty(bench.EndAndReadLines());
    }
}
