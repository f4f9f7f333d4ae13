using TestRig.Bench.Reporting;

namespace TestRig.Bench.Plotting;

/// <summary>What a picture shows, in words: for whoever cannot see it, and for a page whose pictures did not print.</summary>
public static class PictureDescription
{
    /// <summary>Each channel with its places, from the command on, and how each stands.</summary>
    public static string Of(BoardMap map) =>
        $"Map of the board: which stages of which channels work. {string.Join(" ", map.Rows.Select(row => $"{row.Channel}, {Words.Of(row.Condition)}: {(row.Places.IsEmpty ? row.Summary : $"{string.Join("; ", row.Places.Select(place => $"{place.Point} {PictureWords.Standing(place.Standing)}"))}.")}"))}";

    /// <summary>How the channel fared, then each figure from top to bottom with what it did.</summary>
    public static string Of(DriftPicture picture) =>
        $"Figures of channel {picture.Channel} through the run. {picture.Summary} From top to bottom: {string.Join(" ", picture.Panels.Select(panel => $"{panel.Name}: {string.Join("; ", panel.Words)}."))}";

    /// <summary>The headline, then each panel from top to bottom with how it stands and what was found there.</summary>
    public static string Of(WaveformPicture picture) =>
        $"Waveforms of channel {picture.Channel}, {picture.Condition}.{(picture.Overlay is { } over ? $" {over} is laid over it, dashed." : "")} {picture.Headline} From top to bottom: "
        + string.Join(" ", picture.Panels.Select(panel =>
            $"{panel.Name}, {panel.StandingWords}{(panel.Words.IsEmpty ? "" : $": {string.Join("; ", panel.Words)}")}."));
}
