using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Wiring;
using TestRig.Core.Boards;

namespace TestRig.Commands;

/// <summary>testrig wiring PROFILE --inputs N: which points tell most in one pass, and how the leads come to all of them in several.</summary>
internal static class FewInputs
{
    /// <param name="profile">As the user wrote it.</param>
    /// <param name="folder">Of the page; null when none was asked for.</param>
    /// <param name="json">Null when none was asked for.</param>
    public static async Task ShowAsync(Board board, string profile, int inputs, string? folder, string? json)
    {
        var screen = JsonOption.Screen(json);
        var passes = ClipPasses.Of(board, inputs);
        if (folder is not null)
            WholeFile.Write(Path.Combine(folder, "wiring.html"), WiringPage.Write(passes, profile));
        screen.Say(board.Name);
        screen.Say(string.Create(CultureInfo.InvariantCulture, $"{Words.Count(passes.Points.Length, "output")} in the channels' paths; leads of lines, supplies, controller, stop inputs and feedback stay beside them."));
        screen.Say();
        var choice = InputChoice.Of(board);
        ImmutableArray<(int Inputs, ChosenInputs Chosen)> choices =
            [.. Enumerable.Range(inputs - 1, 3).Where(count => count <= passes.Points.Length).Select(count => (count, choice.Choose(count)))];
        if (!choices.IsEmpty)
            screen.Say("What tells most in one pass");
        foreach (var (count, chosen) in choices)
        {
            screen.Say(
                string.Create(CultureInfo.InvariantCulture, $"{(count == inputs ? "*" : " ")}{count,3} {(count == 1 ? "input " : "inputs")}  "),
                string.Create(CultureInfo.InvariantCulture, $"{chosen.EntropyLeft:0.00} bits unknown, {chosen.FaultsLeft:0.0} faults look alike on average: {(chosen.Points.IsEmpty ? "none" : string.Join(", ", chosen.Points))}"));
        }
        if (inputs > passes.Points.Length)
            screen.Say("More inputs than points: wire all.");
        screen.Say();
        foreach (var line in PassList.Lines(passes))
            screen.Say(line);
        WiringCommand.SayPage(screen, folder);
        await JsonOption.WriteAsync(json, InputsJson.Write(passes, profile, [.. choices.Select(entry => entry.Chosen)]));
    }
}
