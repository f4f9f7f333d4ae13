using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Gpio;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Adapters.Gpio;

/// <summary>The library's Firmata driver over a real serial stream, a pseudo-terminal.</summary>
public class FirmataTests
{
    private static readonly string[] _used = ["D2", "D3", "A0", "A1"];

    /// <summary>D2 drives A0 (3.5 V when high) and A1 follows inverted; A2 floats.</summary>
    private static FirmataPeer Peer() => new()
    {
        Card = (pin, line) => pin switch
        {
            2 or 3 => 0,
            14 => line(2) ? 3.5 : 0.2,
            15 => line(2) ? 0.1 : 4.9,
            _ => null,
        },
    };

    [Fact]
    public async Task Says_what_it_is_and_names_pins_as_boards_are_marked()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal);
        var identity = adapter.Identity;
        Assert.Equal("Firmata board (TestPeer.ino)", identity.Board);
        Assert.Equal("2.5, Firmata 2.5", identity.Firmware);
        Assert.True(identity is { IsHostTimed: true, ReadsLinesBack: false, ArmsHighCleanly: false });
        Assert.True(identity.Resolution > Duration.Zero);
        Assert.Equal(18, adapter.Pins.Length);
        Assert.Contains(new AdapterPin("D2", Line: true, Sense: true, Analog: false, Stop: true), adapter.Pins);
        Assert.Contains(new AdapterPin("A5", Line: true, Sense: true, Analog: true, Stop: true), adapter.Pins);
    }

    [Fact]
    public async Task A_program_is_run_and_its_changes_lie_in_intervals_that_hold_the_truth()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal);
        await adapter.ArmAsync(Limits(), CancellationToken.None);
        var run = await adapter.RunAsync(new([new LinesStep(Ms(50), ["D2"]), new LinesStep(Ms(250), [])], Ms(400)), CancellationToken.None);
        var drive = run.Capture.Find("D2")!;
        Assert.Equal([Level.High, Level.Low], drive.Changes.Select(change => change.Level));
        foreach (var (pin, first) in new[] { ("A0", Level.High), ("A1", Level.Low) })
        {
            var answer = run.Capture.Find(pin)!;
            Assert.Equal([first, first.Inverted()], answer.Changes.Select(change => change.Level));
            // The peer's pins answer at once, so cause and effect have an instant in common.
            for (var edge = 0; edge < 2; edge++)
            {
                Assert.True(answer.Changes[edge].After < drive.Changes[edge].NotAfter, $"{pin}: {answer.Changes[edge]} {drive.Changes[edge]}");
                Assert.True(drive.Changes[edge].After < answer.Changes[edge].NotAfter, $"{pin}: {answer.Changes[edge]} {drive.Changes[edge]}");
            }
        }
        Assert.Equal(2, run.Capture.HostTiming!.StepLateness.Length);
    }

    [Fact]
    public async Task Voltages_are_read_in_a_program_with_a_gap_and_looks_go_on_behind_it()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal);
        await adapter.ArmAsync(Limits(), CancellationToken.None);
        var run = await adapter.RunAsync(
            new([new LinesStep(Ms(50), ["D2"]), new MeasureStep(Ms(100), ["A0"], 4), new LinesStep(Ms(400), [])], Ms(500)), CancellationToken.None);
        var reading = Assert.Single(run.Capture.Levels);
        Assert.InRange(reading.Mean.Value, 3.49, 3.51); // 3.5 V at the peer; a step is 4.9 mV
        Assert.Equal(4, reading.Samples);
        Assert.InRange(reading.StandardUncertainty.Value, 0.09, 0.12); // 5 % of 3.5 V over √3
        Assert.Contains(run.Capture.Gaps, gap => gap.Reason == GapReason.MeasuringLevels && gap.From <= reading.At && gap.To > reading.At);
        // The pin was not digital meanwhile, which is no change of its level.
        Assert.Equal([Level.High, Level.Low], run.Capture.Find("A0")!.Changes.Select(change => change.Level));
    }

    [Fact]
    public async Task Leads_that_float_follow_and_driven_ones_do_not()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal, [.. _used, "A2"]);
        await adapter.ArmAsync(Limits(), CancellationToken.None);
        var readings = await adapter.CheckLeadsAsync(["A0", "A1", "A2"], CancellationToken.None);
        Assert.Equal([false, false, true], readings.Select(reading => reading.Follows));
    }

    [Fact]
    public async Task A_line_that_idles_high_is_armed_by_way_of_its_pull_up()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal);
        await adapter.ArmAsync(Limits(Level.High), CancellationToken.None);
        await adapter.ReleaseAsync(CancellationToken.None);
        Assert.Equal(["2 high", "2 in"], peer.Log);
    }

    [Fact]
    public async Task A_board_that_falls_silent_ends_the_program_with_its_reason()
    {
        using var peer = Peer();
        using var terminal = new PseudoTerminal(peer);
        await using var adapter = await OpenAsync(terminal);
        await adapter.ArmAsync(Limits(), CancellationToken.None);
        var running = adapter.RunAsync(new([new LinesStep(Ms(50), ["D2"]), new LinesStep(Ms(450), [])], Ms(2000)), CancellationToken.None);
        while (!peer.Log.Contains("2 high"))
            await Task.Delay(5);
        peer.Silent = true;
        var fault = await Assert.ThrowsAsync<AdapterException>(() => running);
        Assert.Equal(AdapterFault.Unplugged, fault.Fault);
        Assert.Contains("no answer within", fault.Message, StringComparison.Ordinal);
        Assert.Contains("may still be on", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_older_protocol_is_refused_with_the_remedy()
    {
        using var peer = new FirmataPeer { Protocol = (2, 4) };
        using var terminal = new PseudoTerminal(peer);
        var fault = await Assert.ThrowsAsync<AdapterException>(() => OpenAsync(terminal));
        Assert.Equal(AdapterFault.WrongVersion, fault.Fault);
        Assert.Contains("newer firmware", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_where_nothing_speaks_firmata_is_told_so()
    {
        using var peer = new FirmataPeer { Silent = true };
        using var terminal = new PseudoTerminal(peer);
        var fault = await Assert.ThrowsAsync<AdapterException>(() => OpenAsync(terminal));
        Assert.Equal(AdapterFault.NotAnAdapter, fault.Fault);
        Assert.Contains("@115200", fault.Message, StringComparison.Ordinal);
    }

    private static Task<GpioAdapter> OpenAsync(PseudoTerminal terminal, string[]? pins = null) =>
        GpioAdapter.OpenAsync(new FirmataPins(terminal.PortName, FirmataPins.UsualBaudRate), pins ?? _used, CancellationToken.None);

    /// <summary>Longer than any of these programs: a busy computer may be late, and that is not what they test.</summary>
    private static AdapterLimits Limits(Level idle = Level.Low) => new([new("D2", idle, Ms(20_000), Duration.Zero, [])], [], [], Ms(60_000));

    private static Duration Ms(long milliseconds) => Duration.FromMilliseconds(milliseconds);
}
