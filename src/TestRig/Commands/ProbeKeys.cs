using TestRig.Bench.Probing;

namespace TestRig.Commands;

/// <summary>Where the answers come from: the keyboard; a file, one line for each question; or nowhere, since a simulated lead needs no hand.</summary>
internal sealed class ProbeKeys
{
    public const string Legend = "Enter = touched, s = skip it, it cannot be reached, q = quit";

    private static readonly TimeSpan _keyPoll = TimeSpan.FromMilliseconds(50);

    private readonly Queue<string>? _written;

    /// <summary>Lines of standard input answer, as they come.</summary>
    private readonly bool _byLine;

    private ProbeKeys(Queue<string>? written, bool byLine = false) => (_written, _byLine) = (written, byLine);

    /// <summary>True when a person answers at the keyboard.</summary>
    public bool IsLive => _written is null && !Console.IsInputRedirected;

    /// <summary>True where nobody answers and no answer is needed: a simulated part goes into its socket by itself.</summary>
    public bool IsUnattended => _written is null && !_byLine && Console.IsInputRedirected;

    /// <param name="script">Null without a file.</param>
    /// <exception cref="BadUsageException">The file cannot be read, or nobody can answer.</exception>
    public static ProbeKeys From(FileInfo? script, bool simulated)
    {
        if (script is null)
        {
            return Console.IsInputRedirected && !simulated
                ? throw new BadUsageException(["'probe' asks for each touch and needs a keyboard; without one, --script FILE answers: one line for each question, empty for Enter, s or q."])
                : new(null);
        }
        try
        {
            var lines = File.ReadAllLines(script.FullName);
            if (lines.Select(line => line.Trim()).FirstOrDefault(line => AnswerOf(line) is null) is { } wrong)
                throw new BadUsageException([$"--script {script}: '{wrong}' is no answer; write an empty line for Enter, s or q."]);
            return new(new(lines.Select(line => line.Trim())));
        }
        catch (Exception cause) when (cause is IOException or UnauthorizedAccessException)
        {
            throw new BadUsageException([$"--script {script} cannot be read: {cause.Message}"]);
        }
    }

    /// <summary>For whoever asks without a script: a person at the keyboard; lines of standard input where that is none; or nobody, on a simulated bench without a keyboard.</summary>
    public static ProbeKeys Unscripted(bool simulated) => new(null, byLine: Console.IsInputRedirected && !simulated);

    /// <summary>A script that has ended says q.</summary>
    public async Task<ProbeAnswer> AskAsync(CancellationToken cancellation)
    {
        if (_written is not null)
            return _written.TryDequeue(out var line) ? AnswerOf(line)!.Value : ProbeAnswer.Quit;
        if (_byLine)
            return await AskInputAsync(cancellation);
        if (Console.IsInputRedirected)
            return ProbeAnswer.Touched;
        while (true)
        {
            while (!Console.KeyAvailable)
                await Task.Delay(_keyPoll, cancellation);
            var key = Console.ReadKey(intercept: true);
            if ((key.Key == ConsoleKey.Enter ? ProbeAnswer.Touched : AnswerOf(key.KeyChar.ToString())) is { } answer && key.KeyChar != '\0')
                return answer;
        }
    }

    /// <summary>What is no answer is passed over; an input that has ended says q.</summary>
    private static async Task<ProbeAnswer> AskInputAsync(CancellationToken cancellation)
    {
        while (await Console.In.ReadLineAsync(cancellation) is { } line)
        {
            if (AnswerOf(line.Trim()) is { } answer)
                return answer;
        }
        return ProbeAnswer.Quit;
    }

    private static ProbeAnswer? AnswerOf(string written) => written switch
    {
        "" => ProbeAnswer.Touched,
        "s" or "S" => ProbeAnswer.Skipped,
        "q" or "Q" => ProbeAnswer.Quit,
        _ => null,
    };
}
