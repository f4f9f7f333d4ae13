using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using TestRig.Bench.Reporting;

namespace TestRig.Commands;

/// <summary>
/// Writes the help of any command, folded to a terminal's width. The parser's own writer looks the same but takes as long as all the rest of the
/// program's start: it has the runtime compile some seventy instances of generic methods that no package can bring along compiled.
/// </summary>
internal sealed class HelpText : SynchronousCommandLineAction
{
    private const string Indent = "  ";

    /// <summary>Narrower terminals get lines of this many characters all the same.</summary>
    private const int NarrowestLine = 40;

    /// <summary>Makes --help of this command, and of all below it, end here.</summary>
    public static void UseIn(RootCommand root)
    {
        foreach (var option in root.Options)
        {
            if (option is HelpOption help)
                help.Action = new HelpText();
        }
    }

    /// <summary>Whoever asks for help has not made a mistake by leaving an argument out.</summary>
    public override bool ClearsParseErrors => true;

    public override int Invoke(ParseResult parseResult)
    {
        var command = parseResult.CommandResult.Command;
        var output = parseResult.InvocationConfiguration.Output;
        var width = Console.IsOutputRedirected ? int.MaxValue : Math.Max(NarrowestLine, Console.WindowWidth);
        output.WriteLine("Description:");
        Fold(output, Indent, command.Description ?? "", width);
        output.WriteLine();
        output.WriteLine("Usage:");
        Fold(output, Indent, $"{PathOf(parseResult.CommandResult)}{(command.Subcommands.Count > 0 ? " [command]" : "")} [options]", width);

        var arguments = new List<(string, string)>();
        foreach (var argument in command.Arguments)
            arguments.Add((Named(argument), argument.Description ?? ""));
        var options = new List<(string, string)>();
        foreach (var option in command.Options)
        {
            if (!option.Hidden)
                options.Add((Named(option), option.Description ?? ""));
        }
        // The options that hold for every command stand in the root; here that is help alone.
        if (command is not RootCommand)
            options.Add(("-?, -h, --help", "Show help and usage information"));
        var commands = new List<(string, string)>();
        foreach (var sub in command.Subcommands)
        {
            if (!sub.Hidden)
                commands.Add((Named(sub), sub.Description ?? ""));
        }
        Section(output, "Arguments:", arguments, width);
        Section(output, "Options:", options, width);
        Section(output, "Commands:", commands, width);
        output.WriteLine();
        return ExitCode.AllWorking;
    }

    private static void Section(TextWriter output, string title, List<(string Name, string Words)> rows, int width)
    {
        if (rows.Count == 0)
            return;
        output.WriteLine();
        output.WriteLine(title);
        var column = 0;
        foreach (var (name, _) in rows)
            column = Math.Max(column, name.Length);
        foreach (var (name, words) in rows)
            Fold(output, Indent + name.PadRight(column) + Indent, words, width);
    }

    private static void Fold(TextWriter output, string label, string words, int width)
    {
        foreach (var line in TextFold.Fold(label, words, width))
            output.WriteLine(line);
    }

    private static string PathOf(System.CommandLine.Parsing.CommandResult result) =>
        result.Parent is System.CommandLine.Parsing.CommandResult parent ? $"{PathOf(parent)} {Named(result.Command)}" : result.Command.Name;

    private static string Named(Argument argument) => $"<{argument.Name}>";

    private static string Named(Command command)
    {
        var name = command.Name;
        foreach (var argument in command.Arguments)
            name += " " + Named(argument);
        return name;
    }

    private static string Named(Option option)
    {
        var aliases = new List<string> { option.Name };
        foreach (var alias in option.Aliases)
        {
            // The parser also takes /h and /?: not worth a line of help.
            if (alias[0] == '-')
                aliases.Add(alias);
        }
        aliases.Sort((one, other) => one.Length != other.Length ? one.Length - other.Length : string.CompareOrdinal(other, one));
        var names = string.Join(", ", aliases);
        return option.HelpName is { } value ? $"{names} <{value}>" : names;
    }
}
