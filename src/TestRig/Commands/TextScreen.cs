using Spectre.Console;
using Spectre.Console.Rendering;
using TestRig.Bench.Reporting;

namespace TestRig.Commands;

/// <summary>Where words for people go: folded to a terminal's width, unfolded into a file or a pipe.</summary>
internal sealed class TextScreen
{
    private TextScreen(IAnsiConsole console, bool live)
    {
        Console = console;
        IsLive = live;
    }

    public IAnsiConsole Console { get; }

    /// <summary>True in a terminal that can redraw.</summary>
    public bool IsLive { get; }

    public static TextScreen OnOutput() => Create(System.Console.Out, System.Console.IsOutputRedirected);

    public static TextScreen OnError() => Create(System.Console.Error, System.Console.IsErrorRedirected);

    public void Say(string line = "") => Say("", line);

    /// <summary>A labelled sentence; in a terminal its further lines are indented below the first.</summary>
    public void Say(string label, string words)
    {
        foreach (var line in TextFold.Fold(label, words, Console.Profile.Width))
            Console.Write(new Text(line + "\n"));
    }

    /// <summary>Text that has lines of its own, which nothing may fold.</summary>
    public void SayAsIs(string text)
    {
        Console.Profile.Out.Writer.Write(text);
        Console.Profile.Out.Writer.Flush();
    }

    public void Show(IRenderable table) => Console.Write(table);

    private static TextScreen Create(TextWriter target, bool redirected)
    {
        var console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Out = new AnsiConsoleOutput(target),
            Ansi = redirected ? AnsiSupport.No : AnsiSupport.Detect,
        });
        if (redirected)
            console.Profile.Width = UnfoldedWidth;
        return new(console, !redirected && console.Profile.Capabilities.Ansi);
    }

    /// <summary>Wider than any line that is written.</summary>
    private const int UnfoldedWidth = 2000;
}
