using System.Collections.Immutable;
using System.Globalization;
using System.IO.Ports;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Tests;

/// <summary>What must never leave a line on: shown by the emulated board's own log, on its own clock.</summary>
public class MishapTests
{
    /// <summary>Longest on-time of every line in the demonstration profile.</summary>
    private const long LongestOnNs = 500_000_000;

    /// <summary>Heartbeat limit of a sweep of the demonstration profile: the shortest that a sweep sets.</summary>
    private const long HeartbeatNs = 5_000_000_000;

    [Fact]
    public void Kill_9_while_a_line_is_on_leaves_every_line_idle_within_its_limit()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion");
        bench.WaitForLines(AnyOn);
        var beforeKill = bench.Time();
        run.Kill();
        bench.WaitForLines(lines => !AnyOn(lines));
        // The heartbeat limit begins afresh when the burst ends.
        bench.WaitForTime(beforeKill + LongestOnNs + HeartbeatNs + 1_000_000_000);
        using (var link = new RawLink(bench.Port))
        {
            link.Identify();
            var status = DeviceStatus.Parse(link.Ask(LinkRequest.Status).Body.AsSpan()).Value!;
            Assert.False(status.Armed, "the heartbeat limit has passed, and the device is still armed");
            Assert.Equal(ResetCauses.PowerOn, status.ResetCauses);
        }
        var lines = bench.EndAndReadLines();
        AssertNothingLeftOn(lines, expected: 1);
        Assert.True(lines[0].To <= beforeKill + HeartbeatNs, $"killed at {beforeKill}, idle at {lines[0].To}");
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
    public async Task The_emergency_stop_ends_a_line_at_once_and_the_sweep_says_so()
    {
        using var bench = EmulatedBench.Start(motorOn: true);
        Duration bound;
        await using (var adapter = await SerialAdapter.OpenAsync(bench.Port, default))
            bound = adapter.Identity.StopBound;
        using var run = ProgramRun.Start("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--allow-motion", "--json", "-");
        bench.WaitForLines(AnyOn);
        bench.Tell("press emergency-stop");
        run.WaitForEnd();
        Assert.True(run.ExitCode == 4, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        Assert.Contains("emergency-stop", run.Output, StringComparison.Ordinal);
        var log = bench.EndAndReadLog();
        AssertNothingLeftOn(LineOn.Read(log), expected: 1);
        Assert.Equal(1, StopsWithin(bound, log, EmulatedChip.Mega2560));
    }

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name)]
    [InlineData(EmulatedChip.Mega328PName)]
    public async Task The_emergency_stop_idles_all_lines_within_the_bound_that_the_adapter_states_while_looking_and_while_measuring(string name)
    {
        var chip = EmulatedChip.Of(name);
        using var bench = EmulatedBench.Start(board: chip.LinesBoard, chip: chip);
        await using var adapter = await SerialAdapter.OpenAsync(bench.Port, default);
        string[] lines = [.. chip.LinePins.Take(3).Select(chip.LineName)];
        var longest = Duration.FromMilliseconds(20_000);
        await adapter.ArmAsync(
            new([.. lines.Select(pin => new LineLimit(pin, Level.High, longest, Duration.Zero, []))], [new(chip.EmergencyStopName, Level.Low, [.. lines])], [], (longest * 2) + Duration.FromMilliseconds(1000)), default);
        // The conversions of one MEASURE of 16 pins with 64 samples take some 180 ms, those of 8 pins half of that: every other press falls into one.
        ImmutableArray<string> analog = [.. Enumerable.Range(0, chip.Analog).Select(index => $"A{index}")];
        var measure = adapter.Identity.SampleTime * (chip.Analog * 64);
        var on = new LinesStep(Duration.FromMilliseconds(1), [.. lines]);
        StimulusProgram looking = new([on], longest);
        StimulusProgram measuring = new([on, .. Enumerable.Range(0, chip.MostLevels / chip.Analog).Select(index => new MeasureStep(Duration.FromMilliseconds(2) + (measure * index), analog, 64))], longest);

        var presses = new Random(20261125);
        for (var turn = 0; turn < 6; turn++)
        {
            var running = adapter.RunAsync(turn % 2 == 0 ? looking : measuring, default);
            bench.WaitForLines(AnyOn);
            bench.WaitForTime(bench.Time() + presses.Next(1_000_000, (int)(measure.Picoseconds / 1000) * (chip.MostLevels / chip.Analog)));
            bench.Tell("press emergency-stop");
            var ending = (await running).Capture.Ending;
            Assert.Equal(new CaptureEnding(CaptureOutcome.StopInput, chip.EmergencyStopName), ending);
            bench.Tell("release emergency-stop");
        }
        Assert.Equal(6 * lines.Length, StopsWithin(adapter.Identity.StopBound, bench.EndAndReadLog(), chip));
    }

    [Theory]
    [InlineData(EmulatedChip.Mega2560Name, 48)] // pins in six ports, and in three: firmware-notes/wiring.md
    [InlineData(EmulatedChip.Mega328PName, 24)]
    public async Task A_megabyte_of_random_bytes_to_the_firmware_moves_no_line_and_it_still_answers(string name, int pins)
    {
        var chip = EmulatedChip.Of(name);
        using var bench = EmulatedBench.Start(options: ["--fast"], board: chip.LinesBoard, chip: chip);
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
            Assert.Equal(pins, adapter.Pins.Length);
        Assert.Empty(bench.EndAndReadLines());
    }

    /// <summary>So many bytes are damaged that some frame must be, and so few that the adapter is found.</summary>
    [Fact]
    public void A_disturbed_link_is_told_on_the_screen_in_the_log_and_in_the_record()
    {
        using var bench = EmulatedBench.Start(options: ["--link-noise", "to-host:duplicate=1e-3,to-chip:duplicate=1e-3", "--seed", "3"]);
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", bench.Adapter, "--out", "record");
        using var record = JsonDocument.Parse(File.ReadAllText(Path.Combine(run.Folder, "record", "run.json")));
        var link = record.RootElement.GetProperty("link");
        Assert.True(link.GetProperty("damagedFromAdapter").GetInt64() + link.GetProperty("repeats").GetInt64() > 0, link.ToString());
        var log = File.ReadAllText(Path.Combine(run.Folder, "record", "run.log"));
        foreach (var text in (string[])[run.Output, log, File.ReadAllText(Path.Combine(run.Folder, "record", "report.html"))])
        {
            Assert.Contains("sent again", text.ReplaceLineEndings(" "), StringComparison.Ordinal);
            Assert.Contains("The link is disturbed", text.ReplaceLineEndings(" "), StringComparison.Ordinal);
        }
    }

    [Fact]
    public void A_port_that_does_not_exist_exits_3_and_names_it()
    {
        using var run = ProgramRun.ToEnd("sweep", Repository.DomeProfile, "--adapter", "serial:/dev/no-such-port");
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("/dev/no-such-port", run.Error, StringComparison.Ordinal);
    }

    /// <summary>
    /// Checks that each line which was on when the emergency stop was pressed was idle within <paramref name="bound"/> of the change at the adapter's pin, and
    /// returns how many there were. Both instants are in the bench's log, to the nanosecond.
    /// </summary>
    private static int StopsWithin(Duration bound, IReadOnlyList<string> log, EmulatedChip chip)
    {
        var lines = LineOn.Read(log);
        var found = 0;
        foreach (var pressed in log.Where(line => line.EndsWith($" {chip.EmergencyStopName} low", StringComparison.Ordinal)))
        {
            var at = long.Parse(pressed.AsSpan(0, pressed.IndexOf(' ', StringComparison.Ordinal)), CultureInfo.InvariantCulture);
            foreach (var line in lines.Where(line => line.From <= at && !(line.To < at)))
            {
                Assert.True((line.To - at) * 1000 <= bound.Picoseconds, $"{line} went idle later than {bound} after {at} ns");
                found++;
            }
        }
        return found;
    }

    private static bool AnyOn(string lines) => lines.Contains("=on", StringComparison.Ordinal);

    private static void AssertNothingLeftOn(IReadOnlyList<LineOn> lines, int expected)
    {
        Assert.Equal(expected, lines.Count);
        Assert.All(lines, line => Assert.NotNull(line.To));
        Assert.All(lines, line => Assert.InRange(line.Length(0), 1, LongestOnNs));
    }
}
