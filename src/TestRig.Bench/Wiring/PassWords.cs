using System.Globalization;
using TestRig.Core.Boards;

namespace TestRig.Bench.Wiring;

/// <summary>The words of passes, the same on the screen and on the printed page.</summary>
internal static class PassWords
{
    /// <summary>What it comes to, and why no plan does with less.</summary>
    public static string Sum(ClipPasses passes) => passes.Passes.Length == 1
        ? $"All {passes.Points.Length} in one pass: there is an input for each."
        : string.Create(
            CultureInfo.InvariantCulture,
            $"All {passes.Points.Length} in {passes.Passes.Length} passes, with {passes.Moves} {(passes.Moves == 1 ? "clip" : "clips")} moved between them. It takes no fewer: {passes.FewestMoves} of the points have no lead in pass 1, and each move brings one.");

    /// <summary>How a clip is moved without harm.</summary>
    public static string Between(Board board) =>
        $"Between passes: supplies of the board off ({string.Join(", ", board.Supplies.Select(supply => supply.Name))}), then the adapter's cable. Move the clips; each lead stays at its adapter pin. Then the cable and the supplies as at the first time{(board.Supplies.Any(supply => supply.Motion) ? ", but never the motor supply" : "")}. In the profile, give each point the `adapter` that it has in the pass, and no `adapter` to points without a lead.";

    /// <summary>Which channels show their whole path then.</summary>
    public static string Shown(ClipPass pass) => pass.Whole.IsEmpty ? "no channel whole" : $"whole: {string.Join(", ", pass.Whole.Select(channel => channel.Name))}";

    /// <summary>Channels that no pass shows whole; null when there are none.</summary>
    public static string? Split(ClipPasses passes) => passes.Split.IsEmpty
        ? null
        : $"In parts only: {string.Join(", ", passes.Split.Select(channel => channel.Name))}. To see {(passes.Split.Length == 1 ? "its path" : "their paths")} whole takes more leads, or more moves; a stage is timed where the points in front of it and behind it are seen together.";

    /// <summary>What the lead goes through where it is put now, when that is not what it went through before.</summary>
    public static string Change(ClipMove move, Lead to) => move.ChangesResistors ? $"through {LeadWords.Through(to)} now" : "";
}
