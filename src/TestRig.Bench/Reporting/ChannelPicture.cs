namespace TestRig.Bench.Reporting;

/// <summary>A channel's picture as a report embeds it.</summary>
/// <param name="Png">The picture.</param>
/// <param name="Description">What it shows, in words, for whoever cannot see it.</param>
public sealed record ChannelPicture(byte[] Png, string Description);
