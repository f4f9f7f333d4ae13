using TestRig.Bench.Adapters;
using TestRig.Bench.Adapters.Serial;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Adapters.Serial;

/// <summary>System.IO.Ports as it really behaves, on a pseudo-terminal.</summary>
public class SerialPortTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    private static readonly AdapterLimits Limits = new(
        [new("D0", Level.High, Duration.FromMilliseconds(500), Duration.FromMilliseconds(250), [])], [], [], Duration.FromMilliseconds(10_000));

    private static readonly StimulusProgram Program = new(
        [new LinesStep(Duration.FromMicroseconds(100), ["D0"]), new LinesStep(Duration.FromMicroseconds(700), [])], Duration.FromMilliseconds(1));

    [Fact]
    public async Task A_whole_session_goes_over_a_port()
    {
        var device = new FakeDevice { Changes = [.. Enumerable.Range(0, 300).Select(index => ((uint)(100 + (index * 50)), (byte)(index % 2)))] };
        using var terminal = new PseudoTerminal(device);
        await using var adapter = await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience);
        Assert.Equal(terminal.PortName, adapter.Identity.Place);
        await adapter.ArmAsync(Limits, default).WaitAsync(Patience);
        var capture = (await adapter.RunAsync(Program, default).WaitAsync(Patience)).Capture;
        Assert.Equal(CaptureOutcome.Complete, capture.Ending.Outcome);
        Assert.Equal(299, capture.Find("D0")!.Changes.Length);
        Assert.Equal(0, adapter.FramesDamaged);
    }

    [Fact]
    public async Task A_port_can_be_opened_again_after_it_was_closed()
    {
        using var terminal = new PseudoTerminal(new FakeDevice());
        for (var round = 0; round < 2; round++)
        {
            await using var adapter = await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience);
            Assert.Equal("fake", adapter.Identity.Board);
        }
    }

    /// <summary>An administrator may open a port that is open already; another host on it would still end every burst.</summary>
    [Fact]
    public async Task A_port_that_is_held_is_busy_for_everyone_until_it_is_let_go()
    {
        using var terminal = new PseudoTerminal(new FakeDevice());
        await using (await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience))
        {
            var failure = await Assert.ThrowsAsync<AdapterException>(() => SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience));
            Assert.Equal(AdapterFault.Busy, failure.Fault);
            Assert.Contains($"Another program holds {terminal.PortName}", failure.Message, StringComparison.Ordinal);
        }
        await using var again = await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience);
        Assert.Equal(terminal.PortName, again.Identity.Place);
    }

    [Fact]
    public async Task A_plug_pulled_during_a_run_is_told_and_closing_does_not_hang()
    {
        var device = new FakeDevice { BurstsLast = true };
        using var terminal = new PseudoTerminal(device);
        var adapter = await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience);
        await adapter.ArmAsync(Limits, default).WaitAsync(Patience);
        var running = adapter.RunAsync(Program, default);
        await Until(() => device.InBurst);
        terminal.Unplug();
        var failure = await Assert.ThrowsAsync<AdapterException>(() => running.WaitAsync(Patience));
        Assert.Equal(AdapterFault.Unplugged, failure.Fault);
        Assert.Contains(terminal.PortName, failure.Message, StringComparison.Ordinal);
        await adapter.DisposeAsync().AsTask().WaitAsync(Patience);
    }

    [Fact]
    public async Task A_plug_pulled_while_idle_is_told_by_the_next_call()
    {
        using var terminal = new PseudoTerminal(new FakeDevice());
        var adapter = await SerialAdapter.OpenAsync(terminal.PortName, default).WaitAsync(Patience);
        terminal.Unplug();
        var failure = await Assert.ThrowsAsync<AdapterException>(() => adapter.ReadInputsAsync(default).WaitAsync(Patience));
        Assert.Equal(AdapterFault.Unplugged, failure.Fault);
        await adapter.DisposeAsync().AsTask().WaitAsync(Patience);
    }

    [Fact]
    public async Task A_port_that_does_not_exist_is_missing()
    {
        var failure = await Assert.ThrowsAsync<AdapterException>(() => SerialAdapter.OpenAsync("/dev/no-such-port", default).WaitAsync(Patience));
        Assert.Equal(AdapterFault.Missing, failure.Fault);
        Assert.Contains("There is no port /dev/no-such-port", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_is_no_port()
    {
        var file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, "no port");
        try
        {
            var failure = await Assert.ThrowsAsync<AdapterException>(() => SerialAdapter.OpenAsync(file, default).WaitAsync(Patience));
            Assert.Equal(AdapterFault.NotAnAdapter, failure.Fault);
            Assert.Contains("cannot be opened as a serial port", failure.Message, StringComparison.Ordinal);
        }
        finally
        {
            File.Delete(file);
        }
    }

    [Fact]
    public void Access_denied_by_permission_names_the_group() =>
        AssertExplained(mayOpen: false, new UnauthorizedAccessException(), AdapterFault.NotPermitted, "group dialout");

    [Fact]
    public void Access_denied_although_permitted_means_another_program() =>
        AssertExplained(mayOpen: true, new UnauthorizedAccessException(), AdapterFault.Busy, "Another program holds /dev/ttyUSB0");

    [Fact]
    public void Missing_ports_are_answered_with_those_that_exist()
    {
        var failure = new PortFacts("/dev/ttyUSB9", Exists: false, HasContent: false, MayOpen: false, ["/dev/ttyACM0", "/dev/ttyUSB0"]).Explain(null);
        Assert.Equal(AdapterFault.Missing, failure.Fault);
        Assert.Contains("are: /dev/ttyACM0, /dev/ttyUSB0.", failure.Message, StringComparison.Ordinal);
    }

    private static void AssertExplained(bool mayOpen, Exception cause, AdapterFault fault, string words)
    {
        var failure = new PortFacts("/dev/ttyUSB0", Exists: true, HasContent: false, mayOpen, ["/dev/ttyUSB0"]).Explain(cause);
        Assert.Equal(fault, failure.Fault);
        Assert.Contains(words, failure.Message, StringComparison.Ordinal);
    }

    private static async Task Until(Func<bool> condition)
    {
        using var limit = new CancellationTokenSource(Patience);
        while (!condition())
            await Task.Delay(TimeSpan.FromMilliseconds(2), limit.Token);
    }
}
