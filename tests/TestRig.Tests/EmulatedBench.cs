using System.Diagnostics;
using System.Globalization;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>
/// The real firmware on an emulated chip, wired to an emulated board, in a process of its own. The tests see it as a technician does: through the serial
/// port, and through the log that the bench keeps on its own clock.
/// </summary>
internal sealed class EmulatedBench : IDisposable
{
    private readonly Process _process;
    private readonly string _log;

    private EmulatedBench(Process process, string log, string port)
    {
        _process = process;
        _log = log;
        Port = port;
    }

    public string Port { get; private set; }

    public string Adapter => $"serial:{Port}";

    public static EmulatedBench Start(IEnumerable<string>? faults = null, bool motorOn = false, IEnumerable<string>? options = null, string? board = null, EmulatedChip? chip = null)
    {
        var log = Path.Combine(TestFolders.Create().FullName, "pins.log");
        var start = new ProcessStartInfo(Repository.EmulatedBench) { RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var argument in (string[])["--firmware", (chip ?? EmulatedChip.Mega2560).Firmware, "--board", board ?? Repository.DomeBoard, "--motor", motorOn ? "on" : "off", "--log", log])
            start.ArgumentList.Add(argument);
        foreach (var fault in faults ?? [])
        {
            start.ArgumentList.Add("--fault");
            start.ArgumentList.Add(fault);
        }
        foreach (var option in options ?? [])
            start.ArgumentList.Add(option);

        var process = Process.Start(start) ?? throw new InvalidOperationException("The emulated bench did not start.");
        process.ErrorDataReceived += (_, _) => { };
        process.BeginErrorReadLine();
        var first = process.StandardOutput.ReadLine();
        if (first is null || !first.StartsWith("port ", StringComparison.Ordinal))
            throw new InvalidOperationException($"The emulated bench said '{first}' in place of its port.");
        return new(process, log, first["port ".Length..]);
    }

    /// <summary>Sends one command to the bench itself and returns its answer.</summary>
    public string Tell(string command)
    {
        _process.StandardInput.WriteLine(command);
        _process.StandardInput.Flush();
        var answer = _process.StandardOutput.ReadLine() ?? throw new InvalidOperationException($"The emulated bench ended at '{command}'.");
        if (answer.StartsWith("error", StringComparison.Ordinal))
            throw new InvalidOperationException($"The emulated bench refused '{command}': {answer}");
        return answer;
    }

    /// <summary>Waits, in host time, until the bench's own view of its lines satisfies <paramref name="condition"/>.</summary>
    public void WaitForLines(Func<string, bool> condition)
    {
        var patience = Stopwatch.StartNew();
        while (!condition(Tell("lines")))
        {
            if (patience.Elapsed > TimeSpan.FromSeconds(60))
                throw new TimeoutException($"After 60 s the lines are still: {Tell("lines")}");
            Thread.Sleep(1);
        }
    }

    /// <summary>Waits, in host time, until the port is there under the name that it keeps.</summary>
    public static void WaitForPort(string link)
    {
        var patience = Stopwatch.StartNew();
        while (!File.Exists(link))
        {
            if (patience.Elapsed > TimeSpan.FromSeconds(60))
                throw new TimeoutException($"After 60 s there is no {link}.");
            Thread.Sleep(1);
        }
    }

    /// <summary>The bench's own clock, in nanoseconds.</summary>
    public long Time() => long.Parse(Tell("time").AsSpan("time ".Length), CultureInfo.InvariantCulture);

    /// <summary>Waits until the bench's own clock has reached that time.</summary>
    public void WaitForTime(long nanoseconds)
    {
        while (Time() < nanoseconds)
            Thread.Sleep(1);
    }

    /// <summary>Bytes of the chip's SRAM between its variables and the deepest that its stack has ever been.</summary>
    public int StackUntouched() => int.Parse(Tell("stack").Split(' ')[2], CultureInfo.InvariantCulture);

    /// <summary>Ends the bench and returns what its log says of the command lines: when each was on, in nanoseconds of its own clock.</summary>
    public IReadOnlyList<LineOn> EndAndReadLines() => LineOn.Read(EndAndReadLog());

    /// <summary>Ends the bench and returns its log: tools/emulated-bench/README.md tells what is in a line.</summary>
    public IReadOnlyList<string> EndAndReadLog()
    {
        Tell("quit");
        _process.WaitForExit();
        return File.ReadAllLines(_log);
    }

    public void Dispose()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
            _process.WaitForExit();
        }
        _process.Dispose();
        File.Delete(_log);
    }
}
