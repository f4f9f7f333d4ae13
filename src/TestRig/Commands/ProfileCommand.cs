using System.CommandLine;
using Spectre.Console;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Commands;

/// <summary>testrig profile check|explain PROFILE, profile schema.</summary>
internal static class ProfileCommand
{
    public static Command Create() => new("profile", "Check a board's profile, or explain what is expected of the board.")
    {
        Sub("check", "Find mistakes in a profile: all of them, each with its place and remedy.", Check),
        Sub("explain", "Print the expected transitions with the origin of every number.", Explain),
        Schema(),
    };

    private static Command Schema()
    {
        var command = new Command("schema", "Print the JSON Schema of profiles, for editors that complete and check.");
        command.SetAction(_ => Console.Out.Write(ProfileSchema.Write()));
        return command;
    }

    private static Command Sub(string name, string description, Action<Board, TextScreen> run)
    {
        var profile = new Argument<FileInfo>("PROFILE") { Description = "The board's profile (YAML)." };
        var command = new Command(name, description) { profile };
        command.SetAction(parsed =>
        {
            if (ProfileInput.Load(parsed.GetRequiredValue(profile)) is not { } board)
                return ExitCode.BadUsage;
            run(board, TextScreen.OnOutput());
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static void Check(Board board, TextScreen screen)
    {
        var wired = board.TestPoints.Count(point => point.AdapterPin is not null);
        screen.Say($"{board.Name}: no mistakes. {Words.Count(board.Channels.Length, "channel")}, {Words.Count(board.Lines.Length, "line")}, {Words.Count(board.Parts.Length, "part")}, {Words.Count(board.TestPoints.Length, "test point")} ({wired} wired to the adapter), {Words.Count(board.Stops.Length, "stop input")}.");
        foreach (var channel in board.Channels.Where(channel => channel.Stages[^1].Output?.AdapterPin is null))
            screen.Say($"Note: nothing watches {channel.Stages[^1].OutputName}, the last stage of {channel.Name}; that channel can never be judged working.");
    }

    private static void Explain(Board board, TextScreen screen)
    {
        screen.Say(board.Name);
        foreach (var channel in ProfileExplanation.Of(board).Channels)
        {
            screen.Say("");
            screen.Say($"Channel {channel.Channel.Name}, line idle {channel.Channel.Line.Idle.Word()}, on for {channel.Channel.Line.LongestOn} at most, rest {channel.Channel.Line.Rest}");
            screen.Show(Table(channel));
            foreach (var point in channel.Points)
                Origins(point, screen);
            foreach (var feedback in channel.Feedback)
                screen.Say("  ", $"{feedback.Point}: {feedback.Expected} [{feedback.Origin}]");
        }
    }

    private static Table Table(ChannelExplanation channel)
    {
        var table = new Table().Border(TableBorder.Simple);
        foreach (var heading in (string[])["Point", "Pin", "Idle", "Active", "Commanded", "Released"])
            table.AddColumn(new TableColumn(heading));
        foreach (var point in channel.Points)
        {
            table.AddRow(
                new Text(point.Point), new Text(point.LeadEnd ?? "no lead"), new Text(point.Idle.Word()), new Text(point.Active.Word()),
                new Text(Window(point.ToActive)), new Text(Window(point.ToIdle)));
        }
        return table;
    }

    private static string Window(TransitionExplanation? transition) => transition is null
        ? "driven"
        : $"{transition.To.ArrivalWord()} {Range(transition.Window.Earliest, transition.Window.Latest)}";

    private static string Range(Duration earliest, Duration latest) => earliest <= Duration.Zero ? $"within {latest}" : $"{earliest} to {latest}";

    private static void Origins(PointExplanation point, TextScreen screen)
    {
        if (point.ToActive is { } active && point.ToIdle is { } idle)
        {
            screen.Say("  ", $"{point.Point} {active.To.ArrivalWord()}: {active.Window.Origin}; at most {active.LatestFromDrive} after the line");
            screen.Say("  ", $"{point.Point} {idle.To.ArrivalWord()}: {idle.Window.Origin}; at most {idle.LatestFromDrive} after the line");
        }
        if (point.Levels is { } levels)
            screen.Say("  ", $"{point.Point}: low up to {levels.LowMaximum}, high from {levels.HighMinimum} [{levels.Source}]");
        foreach (var sentence in point.Circuit)
            screen.Say("  ", $"{point.Point}: {sentence}");
    }
}
