using System.Text.Json;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>
/// The whole program with pins that the computer times, a Firmata board on a serial port. A busy computer may be late for a look; then a channel is not tested, and
/// that is as right as its verdict. It is never wrong.
/// </summary>
public class GpioTests
{
    private static readonly string _profile = Path.Combine(Repository.Root, "tests", "TestRig.Tests", "boards", "two-lamps.yaml");

    private static FirmataPeer Peer(bool secondBufferDead) => new()
    {
        Card = (pin, line) => pin switch
        {
            2 or 3 => 0,
            14 => line(2) ? 3.5 : 0.2,
            15 => line(3) && !secondBufferDead ? 3.5 : 0.2,
            _ => null,
        },
    };

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void A_sweep_through_a_firmata_board_never_judges_wrong_and_says_who_enforces_the_limits(bool secondBufferDead)
    {
        using var peer = Peer(secondBufferDead);
        using var terminal = new PseudoTerminal(peer);
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", $"gpio:firmata:{terminal.PortName}", "--json", "-");
        // On a computer that is busier than the card has time for, it is refused before a pin is driven.
        if (run.ExitCode == 2 && run.Error.Contains("this adapter looks so seldom", StringComparison.Ordinal))
        {
            Assert.False(peer.IsOutput(2) || peer.IsOutput(3));
            return;
        }
        Assert.True(run.ExitCode is 0 or 1 or 6, $"exit {run.ExitCode}\n{run.Error}\n{run.Output}");
        var root = JsonDocument.Parse(run.Output).RootElement;
        var conditions = RunRecord.Of(run).Conditions;
        AssertJudged(root, conditions, "lamp-1", "working");
        AssertJudged(root, conditions, "lamp-2", secondBufferDead ? "stuck-low" : "working");
        var adapter = root.GetProperty("adapter");
        Assert.Equal("gpio", adapter.GetProperty("kind").GetString());
        Assert.Equal("host", adapter.GetProperty("limitsEnforcedBy").GetString());
        Assert.True(adapter.GetProperty("resolution_ps").GetInt64() > 0);
        Assert.All(root.GetProperty("channels").EnumerateArray(), channel =>
        {
            var timing = channel.GetProperty("hostTiming");
            Assert.True(timing.GetProperty("looks").GetInt32() > 0);
            Assert.True(timing.GetProperty("stepLateness_ps").GetArrayLength() > 0);
        });
        Assert.Contains("enforced by this computer only", run.Error, StringComparison.Ordinal);
        Assert.Contains("enforced by this computer only", File.ReadAllText(Path.Combine(Directory.EnumerateDirectories(Path.Combine(run.Folder, "runs")).Single(), "report.html")), StringComparison.Ordinal);
        // Every way out ends with both lines idle, then released.
        Assert.False(peer.IsOutput(2) || peer.IsOutput(3));
        Assert.Equal(["2 in", "3 in"], peer.Log.TakeLast(2));
    }

    private static void AssertJudged(JsonElement root, IReadOnlyDictionary<string, string> conditions, string name, string right)
    {
        if (conditions[name] == right)
            return;
        Assert.Equal("not-tested", conditions[name]);
        var channel = root.GetProperty("channels").EnumerateArray().Single(channel => channel.GetProperty("name").GetString() == name);
        Assert.True(channel.GetProperty("hostTiming").GetProperty("lateLooks").GetInt32() > 0, channel.GetProperty("summary").GetString());
    }

    [Fact]
    public void The_board_is_identified_with_a_resolution_that_was_measured_and_its_loop_is_followed()
    {
        using var peer = new FirmataPeer { Card = (pin, line) => pin == 7 ? line(6) ? 5 : 0 : null };
        using var terminal = new PseudoTerminal(peer);
        using var list = ProgramRun.ToEnd("adapters", "--adapter", $"gpio:firmata:{terminal.PortName}", "--json", "-");
        Assert.True(list.ExitCode == 0, $"exit {list.ExitCode}\n{list.Error}\n{list.Output}");
        var adapter = JsonDocument.Parse(list.Output).RootElement.GetProperty("adapters").EnumerateArray().Single();
        Assert.Contains("TestPeer.ino", adapter.GetProperty("board").GetString(), StringComparison.Ordinal);
        Assert.Contains("timed by this computer", list.Error, StringComparison.Ordinal);

        using var test = ProgramRun.ToEnd("adapters", "--adapter", $"gpio:firmata:{terminal.PortName}", "--self-test", "D6=D7", "--repeats", "3", "--json", "-");
        if (test.ExitCode == 3 && test.Error.Contains("Nothing was driven", StringComparison.Ordinal))
        {
            // On a computer so busy that its looks are seconds apart the self-test is longer than any program: refused, and nothing driven.
            Assert.Contains("is longer than the adapter", test.Error, StringComparison.Ordinal);
            Assert.DoesNotContain(peer.Log, line => line == "6 high");
            return;
        }
        Assert.True(test.ExitCode is 0 or 1, $"exit {test.ExitCode}\n{test.Error}\n{test.Output}");
        var loop = JsonDocument.Parse(test.Output).RootElement.GetProperty("selfTest");
        Assert.Equal(3, loop.GetProperty("repeats").GetInt32());
        Assert.Contains(peer.Log, line => line == "6 high");
        Assert.Equal("6 in", peer.Log.Last());
    }

    [Theory]
    [InlineData("gpio:", "write gpio: and then board, firmata:PORT")]
    [InlineData("gpio:board:17", "write gpio:board")]
    [InlineData("gpio:firmata", "names no port")]
    [InlineData("gpio:firmata:/dev/x@fast", "1200 to 4000000")]
    [InlineData("gpio:mcp23017:1", "needs the number of its I²C bus and its address")]
    [InlineData("gpio:mcp23017:1:0x40", "0x20 to 0x27")]
    [InlineData("gpio", "or gpio: and then board")]
    public void A_wrong_form_is_bad_usage_with_its_remedy(string adapter, string words)
    {
        using var run = ProgramRun.ToEnd("sweep", _profile, "--adapter", adapter);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.Contains(adapter, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Completion_offers_the_forms()
    {
        using var run = ProgramRun.ToEnd("[suggest:31]", "testrig sweep x.yaml --adapter g");
        Assert.Equal(["gpio:board", "gpio:firmata:", "gpio:mcp23017:"], run.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(line => line.Trim()));
    }

    [Fact]
    public void Help_needs_none_of_the_drivers()
    {
        var copy = TestFolders.Create().FullName;
        foreach (var file in Directory.EnumerateFiles(Path.GetDirectoryName(Repository.Program)!))
            File.Copy(file, Path.Combine(copy, Path.GetFileName(file)));
        foreach (var driver in Directory.EnumerateFiles(copy, "*.dll").Where(file => Path.GetFileName(file) is "Iot.Device.Bindings.dll" or "System.Device.Gpio.dll"))
            File.Delete(driver);
        var start = new System.Diagnostics.ProcessStartInfo("dotnet", [Path.Combine(copy, "testrig.dll"), "sweep", "--help"]) { RedirectStandardOutput = true, RedirectStandardError = true };
        // The host insists on every file of the list; without the list it takes what is there.
        File.Delete(Path.Combine(copy, "testrig.deps.json"));
        using var process = System.Diagnostics.Process.Start(start)!;
        var output = process.StandardOutput.ReadToEnd();
        var error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, error);
        Assert.Contains("gpio:PINS", output, StringComparison.Ordinal);
    }
}
