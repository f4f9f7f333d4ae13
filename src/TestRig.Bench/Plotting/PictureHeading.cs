namespace TestRig.Bench.Plotting;

/// <summary>What a picture says of the run that its channel belongs to.</summary>
/// <param name="Board">The board's name.</param>
/// <param name="Started">When the run started.</param>
/// <param name="Simulated">True when no real board was exercised: the picture then says so in large letters.</param>
public sealed record PictureHeading(string Board, DateTimeOffset Started, bool Simulated);
