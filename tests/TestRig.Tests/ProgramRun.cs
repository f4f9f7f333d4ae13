using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using TestRig.Tests.Shared;

namespace TestRig.Tests;

/// <summary>One run of the whole program in a process and a folder of its own.</summary>
internal sealed class ProgramRun : IDisposable
{
    private readonly Process _process;
    private readonly StringBuilder _output = new();
    private readonly StringBuilder _error = new();
    private readonly string _folder;

    private ProgramRun(Process process, string folder)
    {
        _process = process;
        _folder = folder;
    }

    public int ExitCode => _process.ExitCode;

    public bool HasEnded => _process.HasExited;

    /// <summary>What it has said so far.</summary>
    public string Output => Text(_output);

    public string Error => Text(_error);

    /// <summary>The folder in which it ran.</summary>
    public string Folder => _folder;

    public static ProgramRun Start(params string[] arguments) => Start(new Dictionary<string, string>(), arguments);

    /// <param name="environment">On top of this process's own.</param>
    public static ProgramRun Start(IReadOnlyDictionary<string, string> environment, string[] arguments) => Start([], environment, arguments);

    /// <param name="under">A command that runs the words behind it as a command of its own; none for the program itself.</param>
    /// <param name="environment">On top of this process's own.</param>
    public static ProgramRun Start(string[] under, IReadOnlyDictionary<string, string> environment, string[] arguments, bool answered = false)
    {
        var folder = TestFolders.Create().FullName;
        // A shell's background jobs inherit an ignored Ctrl-C, and so would the program: it starts with what a terminal gives it (env of coreutils 8.31).
        string[] words = [.. under, "env", "--default-signal=INT", Repository.Executable, .. arguments];
        var start = new ProcessStartInfo(words[0], words[1..]) { RedirectStandardInput = answered, RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = folder };
        // The executable looks for the runtime where an installer puts it; the tests' own may be elsewhere.
        start.Environment["DOTNET_ROOT"] = Path.GetFullPath(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "..", "..", ".."));
        // Not among the runs of whoever tests.
        start.Environment["TESTRIG_STORE"] = Path.Combine(folder, "runs.db");
        foreach (var (name, value) in environment)
            start.Environment[name] = value;
        var run = new ProgramRun(new Process { StartInfo = start }, folder);
        run._process.OutputDataReceived += (_, line) => Append(run._output, line.Data);
        run._process.ErrorDataReceived += (_, line) => Append(run._error, line.Data);
        run._process.Start();
        run._process.BeginOutputReadLine();
        run._process.BeginErrorReadLine();
        return run;
    }

    public static ProgramRun ToEnd(params string[] arguments) => Start(arguments).WaitForEnd();

    /// <summary>The same with a pipe for its standard input.</summary>
    public static ProgramRun StartAnswered(params string[] arguments) => Start([], new Dictionary<string, string>(), arguments, answered: true);

    /// <summary>One line of its standard input.</summary>
    public void Answer(string line)
    {
        _process.StandardInput.WriteLine(line);
        _process.StandardInput.Flush();
    }

    /// <summary>Waits until it has said so, on either output.</summary>
    public ProgramRun WaitFor(string words)
    {
        var patience = Stopwatch.StartNew();
        while (!Output.Contains(words, StringComparison.Ordinal) && !Error.Contains(words, StringComparison.Ordinal))
        {
            if (HasEnded || patience.Elapsed > TimeSpan.FromMinutes(3))
                throw new TimeoutException($"testrig did not say '{words}'. So far:\n{Output}\n{Error}");
            Thread.Sleep(1);
        }
        return this;
    }

    /// <summary>Waits for its end, and shows what it said where it ended otherwise.</summary>
    public ProgramRun WaitForEnd(int expected)
    {
        WaitForEnd();
        Assert.True(ExitCode == expected, $"exit {ExitCode}, not {expected}\n{Error}\n{Output}");
        return this;
    }

    public ProgramRun WaitForEnd()
    {
        if (!_process.WaitForExit(TimeSpan.FromMinutes(3)))
        {
            _process.Kill();
            throw new TimeoutException($"testrig did not end within three minutes. So far:\n{Output}\n{Error}");
        }
        _process.WaitForExit();
        return this;
    }

    /// <summary>As kill -9 does: nothing in the program gets to run any more.</summary>
    public void Kill()
    {
        _process.Kill();
        _process.WaitForExit();
    }

    /// <summary>As Ctrl-C does.</summary>
    public void Interrupt() => Signal("-INT");

    /// <summary>As a system does that shuts down.</summary>
    public void Terminate() => Signal("-TERM");

    private void Signal(string signal)
    {
        using var kill = Process.Start("sh", ["-c", string.Create(CultureInfo.InvariantCulture, $"kill {signal} {_process.Id}")]); // built into every shell, a program of its own only on some
        kill.WaitForExit();
        // The same signal again, before the program has taken this one, would be lost (signal(7), "Signal queueing").
        while (IsPending())
            Thread.Sleep(1);
    }

    private bool IsPending()
    {
        try
        {
            return File.ReadLines(string.Create(CultureInfo.InvariantCulture, $"/proc/{_process.Id}/status"))
                .Any(line => line.StartsWith("ShdPnd:", StringComparison.Ordinal) && line.AsSpan("ShdPnd:".Length).Trim().ContainsAnyExcept('0'));
        }
        catch (Exception gone) when (gone is FileNotFoundException or DirectoryNotFoundException)
        {
            // It has ended, and takes no more.
            return false;
        }
    }

    public void Dispose()
    {
        if (!_process.HasExited)
            Kill();
        _process.Dispose();
        Directory.Delete(_folder, recursive: true);
    }

    private static string Text(StringBuilder said)
    {
        lock (said)
            return said.ToString();
    }

    private static void Append(StringBuilder target, string? line)
    {
        if (line is null)
            return;
        lock (target)
            target.AppendLine(line);
    }
}
