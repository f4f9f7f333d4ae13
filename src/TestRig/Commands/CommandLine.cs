using System.CommandLine;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Plotting;
using TestRig.Bench.Recordings;
using TestRig.Bench.Showing;

namespace TestRig.Commands;

/// <summary>The commands of the program, and the one place where failures become messages and exit codes.</summary>
internal static class CommandLine
{
    /// <summary>After Ctrl-C: enough to end a burst, take the lines to idle and keep the record, on a slow machine too.</summary>
    private static readonly TimeSpan TimeToEnd = TimeSpan.FromMinutes(1);

    /// <summary>The first Ctrl-C lets a soak finish its cycle, which may take minutes: the second one ends it, and no time limit does.</summary>
    /// <remarks>A service has limits of its own.</remarks>
    private static readonly TimeSpan TimeToEndSoak = Timeout.InfiniteTimeSpan;

    public static async Task<int> RunAsync(string[] args)
    {
        Console.SetOut(new StandardOutput(Console.Out));
        var root = new RootCommand("Finds the stage that swallows a command: drives a board's command lines through an adapter, samples its test points and judges every channel.")
        {
            SweepCommand.Create(),
            SoakCommand.Create(),
            JudgeCommand.Create(),
            RunsCommand.Create(),
            ReportCommand.Create(),
            PlotCommand.Create(),
            CompareCommand.Create(),
            NoteCommand.Create(),
            HistoryCommand.Create(),
            ProfileCommand.Create(),
            AdaptersCommand.Create(),
            PulseCommand.Create(),
            LearnCommand.Create(),
            ProbeCommand.Create(),
            InjectCommand.Create(),
            TrialCommand.Create(),
            WiringCommand.Create(),
            CampaignCommand.Create(),
            ServeCommand.Create(),
            ArmCommand.CreateArm(),
            ArmCommand.CreateDisarm(),
            TokenCommand.Create(),
        };
        HelpText.UseIn(root);
        var parsed = root.Parse(args);
        if (parsed.Errors.Count > 0)
        {
            // Of a word that is no command the parser says, too, that a command is missing.
            var errors = parsed.UnmatchedTokens.Count > 0 && parsed.Errors.Count > 1 ? parsed.Errors.Where(error => error.Message.Contains('\'')) : parsed.Errors;
            foreach (var error in errors)
                await Console.Error.WriteLineAsync($"testrig: {error.Message}");
            await Console.Error.WriteLineAsync($"testrig: see 'testrig {CommandPath(parsed.CommandResult)}--help'.");
            return ExitCode.BadUsage;
        }

        try
        {
            return await parsed.InvokeAsync(new InvocationConfiguration
            {
                EnableDefaultExceptionHandler = false,
                ProcessTerminationTimeout = parsed.CommandResult.Command.Name is SoakCommand.Name or ServeCommand.Name ? TimeToEndSoak : TimeToEnd,
            });
        }
        catch (AdapterException fault)
        {
            return await FailAsync(fault.Message, ExitCode.Adapter);
        }
        catch (BadUsageException usage)
        {
            return await FailAsync(usage.Message, ExitCode.BadUsage);
        }
        catch (RunQuestionException question)
        {
            return await FailAsync(question.Message, ExitCode.BadUsage);
        }
        catch (ProfileMismatchException mismatch)
        {
            return await FailAsync(mismatch.Message, ExitCode.BadUsage);
        }
        catch (RecordingException recording)
        {
            return await FailAsync(recording.Message, ExitCode.BadUsage);
        }
        catch (RunStorageException storage)
        {
            return await FailAsync(storage.Message, ExitCode.Storage);
        }
        catch (PlotFontException font)
        {
            return await FailAsync(font.Message, ExitCode.Storage);
        }
        catch (OperationCanceledException)
        {
            return await FailAsync("Cancelled. All lines are idle.", ExitCode.Incomplete);
        }
    }

    private static string CommandPath(System.CommandLine.Parsing.CommandResult command) =>
        command.Parent is System.CommandLine.Parsing.CommandResult parent ? CommandPath(parent) + command.Command.Name + " " : "";

    private static async Task<int> FailAsync(string message, int code)
    {
        foreach (var line in message.Split(Environment.NewLine))
            await Console.Error.WriteLineAsync($"testrig: {line}");
        return code;
    }
}
