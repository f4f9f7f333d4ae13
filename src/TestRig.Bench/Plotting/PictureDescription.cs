namespace TestRig.Bench.Plotting;

/// <summary>What a picture shows, in words: for whoever cannot see it, and for a page whose pictures did not print.</summary>
public static class PictureDescription
{
    /// <summary>How the channel fared, then each figure from top to bottom with what it did.</summary>
    public static string Of(DriftPicture picture) =>
        $"Figures of channel {picture.Channel} through the run. {picture.Summary} From top to bottom: {string.Join(" ", picture.Panels.Select(panel => $"{panel.Name}: {string.Join("; ", panel.Words)}."))}";

    /// <summary>The headline, then each panel from top to bottom with how it stands and what was found there.</summary>
    public static string Of(WaveformPicture picture) =>
        $"Waveforms of channel {picture.Channel}, {picture.Condition}. {picture.Headline} From top to bottom: "
        + string.Join(" ", picture.Panels.Select(panel =>
            $"{panel.Name}, {panel.StandingWords}{(panel.Words.IsEmpty ? "" : $": {string.Join("; ", panel.Words)}")}."));
}
