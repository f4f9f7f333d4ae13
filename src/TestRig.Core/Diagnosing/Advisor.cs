using TestRig.Core.Boards;

namespace TestRig.Core.Diagnosing;

/// <summary>Advice that a person can act on. Measuring comes before unsoldering.</summary>
internal static class Advisor
{
    public static string Advise(Board board, Suspect suspect)
    {
        var item = suspect.Group[0];
        var others = suspect.Group.Length > 1 ? $" Nothing measured tells it from: {string.Join(", ", suspect.Group.Skip(1))}." : "";
        var part = board.Parts.FirstOrDefault(candidate => candidate.Name == item);
        var action = part switch
        {
            IsolatorPart isolator =>
                $"Replace {item} ({isolator.Type.Name}). To be sure first: while the line is commanded, about {isolator.IsolatorType.LedForwardTypical} across its LED (pins {isolator.IsolatorType.AnodePin} and {isolator.IsolatorType.CathodePin}) means that it is driven and its output side is at fault; nothing there means an open resistor or LED circuit.",
            DriverPart => $"Replace {item} ({part.Type.Name}). To be sure first: check its base resistor, and its load for a short.",
            BufferPart => $"Check supply, ground and enable pins of {item} ({part.Type.Name}); when they are right, replace it.",
            _ => $"Check the {item}, then sweep again before any part is touched.",
        };
        return $"{item}: {suspect.Mode}. {action}{others}";
    }

    public static string AdviseFeedback(Suspect suspect) =>
        $"{suspect.Group[0]}: {suspect.Mode}. Clean or replace it, check its wiring and its mounting, then sweep again with --allow-motion.";

    /// <summary>The point in front of the first ambiguity that no lead watches yet; else how to settle it by hand. Null when one item is left.</summary>
    public static string? NextProbe(Board board, Suspect suspect)
    {
        if (suspect.Group.Length < 2)
            return null;
        var channel = board.Channels.First(candidate => candidate.Name == suspect.Explains[0]);
        var unwatched = channel.Stages.FirstOrDefault(stage =>
            stage.Output?.AdapterPin is null && suspect.Group.Contains(stage.Part.Name));
        return unwatched is not null
            ? $"Clip a lead to {unwatched.OutputName} and sweep again: it tells {string.Join(" from ", suspect.Group)}."
            : $"Lift the connection between {suspect.Group[0]} and {suspect.Group[1]} (pull one of them where it is socketed) and sweep again.";
    }
}
