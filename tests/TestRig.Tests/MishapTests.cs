using System.IO.Ports;
using TestRig.Bench.Adapters.Serial;

namespace TestRig.Tests;

/// <summary>What must never leave a line on: shown by the emulated board's own log, on its own clock.</summary>
public class MishapTests
{
    /// <summary>Longest on-time of every line in the demonstration profile. The heartbeat limit of a sweep is longer.</summary>
    private const long LongestOnNs = 500_000_000;

    [Fact]
    public void Kill_9_while_a_line_is_on_leaves_every_line_idle_within_its_limit()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion");
        bench.WaitForLines(AnyOn);
        run.Kill();
        bench.WaitForLines(lines => !AnyOn(lines));
        AssertNothingLeftOn(bench.EndAndReadLines(), expected: 1);
    }

    [Fact]
    public void Unplugging_while_a_line_is_on_exits_3_and_leaves_every_line_idle()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion");
        bench.WaitForLines(AnyOn);
        bench.Tell("unplug");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 3, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("unplugged", run.Output + run.Error, StringComparison.OrdinalIgnoreCase);
        bench.WaitForLines(lines => !AnyOn(lines));
        AssertNothingLeftOn(bench.EndAndReadLines(), expected: 1);
    }

    [Fact]
    public void A_chip_reset_while_a_line_is_on_exits_3_and_moves_nothing_again()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion");
        bench.WaitForLines(AnyOn);
        bench.Tell("reset");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 3, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        AssertNothingLeftOn(bench.EndAndReadLines(), expected: 1);
    }

    [Fact]
    public void Ctrl_C_while_a_line_is_on_ends_the_burst_and_keeps_the_record()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--out", "record");
        bench.WaitForLines(AnyOn);
        run.Interrupt();
        run.WaitForEnd();
        Assert.True(run.ExitCode == 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.True(File.Exists(Path.Combine(run.Folder, "record", "run.json")));
        AssertNothingLeftOn(bench.EndAndReadLines(), expected: 1);
    }

    [Fact]
    public void The_emergency_stop_ends_a_line_at_once_and_the_sweep_says_so()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--json", "-");
        bench.WaitForLines(AnyOn);
        bench.Tell("press emergency-stop");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("emergency-stop", run.Output, StringComparison.Ordinal);
        AssertNothingLeftOn(bench.EndAndReadLines(), expected: 1);
    }

    [Fact]
    public async Task A_megabyte_of_random_bytes_to_the_firmware_moves_no_line_and_it_still_answers()
    {
        using var bench = EmulatedBench.Start(options: ["--fast"]);
        var garbage = new byte[1_000_000];
        new Random(20261125).NextBytes(garbage);
        using (var port = new SerialPort(bench.Port, 500_000))
        {
            port.Open();
            port.DiscardInBuffer();
            for (var sent = 0; sent < garbage.Length; sent += 1000)
                port.Write(garbage, sent, 1000);
        }
        await using (var adapter = await SerialAdapter.OpenAsync(bench.Port, default))
            Assert.Equal(48, adapter.Pins.Length); // 48 pins in six ports, as firmware-notes/wiring.md lists them
        Assert.Empty(bench.EndAndReadLines());
    }

    [Fact]
    public void A_port_that_does_not_exist_exits_3_and_names_it()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "serial:/dev/no-such-port");
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("/dev/no-such-port", run.Error, StringComparison.Ordinal);
    }

    private static bool AnyOn(string lines) => lines.Contains("=on", StringComparison.Ordinal);

    private static void AssertNothingLeftOn(IReadOnlyList<LineOn> lines, int expected)
    {
        Assert.Equal(expected, lines.Count);
        Assert.All(lines, line => Assert.NotNull(line.To));
        Assert.All(lines, line => Assert.InRange(line.Length(0), 1, LongestOnNs));
    }
}
