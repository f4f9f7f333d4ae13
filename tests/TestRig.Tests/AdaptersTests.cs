using System.Text.Json;

namespace TestRig.Tests;

/// <summary>Identification and self-test of the real firmware.</summary>
public class AdaptersTests
{
    private static readonly string _loopBoard = Repository.TestBoard("loop.board");

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name, "2560", 20 + 9)] // tick, look and skew in ticks: firmware-notes/timing.md
    [InlineData(EmulatedChip.Mega328PName, "328P", 13 + 4)]
    public void The_adapter_is_listed_with_board_firmware_tick_resolution_and_stop_bound(string name, string board, int resolution)
    {
        var chip = EmulatedChip.Of(name);
        using var bench = EmulatedBench.Start(board: chip.LinesBoard, chip: chip);
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var adapter = JsonDocument.Parse(run.Output).RootElement.GetProperty("adapters").EnumerateArray().Single();
        Assert.Equal(bench.Port, adapter.GetProperty("place").GetString());
        Assert.Contains(board, adapter.GetProperty("board").GetString(), StringComparison.Ordinal);
        Assert.Equal(62_500, adapter.GetProperty("tick_ps").GetInt64()); // 16 MHz
        Assert.Equal(resolution * 62_500, adapter.GetProperty("resolution_ps").GetInt64());
        Assert.True(adapter.GetProperty("stopBound_ps").GetInt64() > 0);
        var small = chip == EmulatedChip.Mega328P;
        Assert.Equal(small ? ["D8"] : [], adapter.GetProperty("stampsChangesAt").EnumerateArray().Select(pin => pin.GetString()!));
        Assert.Equal(small ? ["A0", "A1", "A2", "A3", "A4", "A5"] : [], adapter.GetProperty("stampsCrossingsAt").EnumerateArray().Select(pin => pin.GetString()!));
        Assert.Equal(small, run.Error.Contains("stamped by hardware, one point in a run: at D8 changes; at A0, A1, A2, A3, A4, A5 crossings of a reference voltage", StringComparison.Ordinal));
        Assert.Contains(bench.Port, run.Error, StringComparison.Ordinal);
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void A_port_without_an_adapter_is_listed_with_the_reason_and_exits_3()
    {
        using var run = ProgramRun.ToEnd("adapters", "--adapter", "serial:/dev/no-such-port", "--json", "-");
        Assert.Equal(3, run.ExitCode);
        var root = JsonDocument.Parse(run.Output).RootElement;
        Assert.Equal(0, root.GetProperty("adapters").GetArrayLength());
        Assert.Contains("/dev/no-such-port", root.GetProperty("refused")[0].GetProperty("reason").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name, "loop.board", "D22=A0")]
    [InlineData(EmulatedChip.Mega328PName, "loop-328p.board", "D2=A0")]
    public void A_looped_wire_is_followed_every_time_and_its_delay_is_measured_on_the_adapters_clock(string name, string board, string wire)
    {
        using var bench = EmulatedBench.Start(board: Repository.TestBoard(board), chip: EmulatedChip.Of(name));
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--self-test", wire, "--repeats", "20", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var test = JsonDocument.Parse(run.Output).RootElement.GetProperty("selfTest");
        Assert.True(test.GetProperty("good").GetBoolean());
        var delays = test.GetProperty("delays").EnumerateArray().ToList();
        Assert.Equal(4, delays.Count); // driven pin and input, both edges
        foreach (var delay in delays)
        {
            Assert.Equal(20, delay.GetProperty("seen").GetInt32());
            var (least, mean, most) = (delay.GetProperty("minimum_ps").GetInt64(), delay.GetProperty("mean_ps").GetInt64(), delay.GetProperty("maximum_ps").GetInt64());
            Assert.True(least <= mean && mean <= most, $"{least} {mean} {most}");
            // A step is carried out behind its instant, by at most the housekeeping that may precede it: tens of cycles (firmware-notes/timing.md).
            Assert.InRange(most, 0, 20_000_000);
        }
        // The emulated chip's own clock: 20 times on, 0.5 ms each, to within the bound on a step. Where A0 is stamped too, twice 20 times more.
        var lines = bench.EndAndReadLines();
        Assert.Equal(name == EmulatedChip.Mega328PName ? 60 : 20, lines.Count);
        Assert.All(lines, line => Assert.InRange(line.Length(long.MaxValue), 480_000, 520_000));
    }

    [Fact]
    public void A_pin_that_hardware_can_stamp_is_shown_with_fine_and_coarse_delays_and_the_latency_that_agrees_with_both()
    {
        using var bench = EmulatedBench.Start(board: Repository.TestBoard("loop-328p.board"), chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--self-test", "D3=D8", "--repeats", "20", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("hardware stamp", run.Error, StringComparison.Ordinal);
        var test = JsonDocument.Parse(run.Output).RootElement.GetProperty("selfTest");
        var coarse = test.GetProperty("delays").EnumerateArray().Where(delay => delay.GetProperty("pin").GetString() == "D8").ToDictionary(delay => delay.GetProperty("edge").GetString()!);
        var fine = test.GetProperty("fine").EnumerateArray().ToList();
        Assert.Equal(2, fine.Count);
        foreach (var edge in fine)
        {
            Assert.Equal(20, edge.GetProperty("seen").GetInt32());
            // A stamp is good to 5 ticks, a look at a step to some 20 and more: firmware-notes/timing.md.
            var uncertainty = edge.GetProperty("uncertainty_ps").GetInt64();
            Assert.InRange(uncertainty, 1, 5 * 62_500);
            Assert.True(uncertainty * 4 < coarse[edge.GetProperty("edge").GetString()!].GetProperty("uncertainty_ps").GetInt64());
            // A line changes 7 to 20 ticks after its instant, and its lead takes less than one.
            Assert.InRange(edge.GetProperty("minimum_ps").GetInt64(), 5 * 62_500, 22 * 62_500);
            Assert.InRange(edge.GetProperty("maximum_ps").GetInt64(), 5 * 62_500, 22 * 62_500);
            Assert.InRange(edge.GetProperty("latencyLeast_ps").GetInt64(), 0, edge.GetProperty("latencyMost_ps").GetInt64() - 1);
            Assert.InRange(edge.GetProperty("latencyMost_ps").GetInt64(), 1, 5 * 62_500);
        }
    }

    /// <summary>Three chips with references and comparators of their own (the bench's seed): what the self-test makes of them contains them.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void A_pin_at_which_crossings_are_stamped_is_calibrated_by_the_looks_too(int seed)
    {
        using var bench = EmulatedBench.Start(board: Repository.TestBoard("loop-328p.board"), options: ["--seed", $"{seed}"], chip: EmulatedChip.Mega328P);
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--self-test", "D2=A0", "--repeats", "20", "--json", "-");
        Assert.True(run.ExitCode == 0, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var test = JsonDocument.Parse(run.Output).RootElement.GetProperty("selfTest");
        var coarse = test.GetProperty("delays").EnumerateArray().Where(delay => delay.GetProperty("pin").GetString() == "A0").ToDictionary(delay => delay.GetProperty("edge").GetString()!);
        var fine = test.GetProperty("fine").EnumerateArray().ToList();
        Assert.Equal(2, fine.Count);
        foreach (var edge in fine)
        {
            Assert.Equal(20, edge.GetProperty("seen").GetInt32());
            Assert.Equal((0, 21 * 62_500), (edge.GetProperty("statedLeast_ps").GetInt32(), edge.GetProperty("statedMost_ps").GetInt32())); // 20 ticks and the step of the stamp
            // The bench's comparators take 300 to 700 ns, and up to 3 cycles are the emulator's.
            Assert.InRange(edge.GetProperty("latencyLeast_ps").GetInt64(), 0, 700_000);
            Assert.InRange(edge.GetProperty("latencyMost_ps").GetInt64(), 300_000, 21 * 62_500);
            // A look at a step leaves some 50 ticks.
            var (uncertainty, by) = (edge.GetProperty("uncertainty_ps").GetInt64(), coarse[edge.GetProperty("edge").GetString()!].GetProperty("uncertainty_ps").GetInt64());
            Assert.True(uncertainty * 3 < by * 2, $"{uncertainty} ps with a stamp, {by} without");
        }
    }

    [Fact]
    public void A_wire_that_is_not_there_exits_1_and_says_what_to_check()
    {
        using var bench = EmulatedBench.Start(board: _loopBoard);
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--self-test", "D22=A1", "--repeats", "3");
        Assert.True(run.ExitCode == 1, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("check the wire", run.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("D22", 2, "e.g. D22=A0")]
    [InlineData("D22=D22", 2, "cannot be looped to itself")]
    [InlineData("A0=D22", 2, "A0 cannot drive a line")]
    [InlineData("D22=X9", 2, "X9 cannot be sampled")]
    public void Pins_that_cannot_be_looped_are_refused_before_anything_is_driven(string pins, int exit, string words)
    {
        using var bench = EmulatedBench.Start(board: _loopBoard);
        using var run = ProgramRun.ToEnd("adapters", "--adapter", bench.Adapter, "--self-test", pins);
        Assert.True(run.ExitCode == exit, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.Empty(bench.EndAndReadLines());
    }
}
