namespace TestRig.Bench.Files;

/// <summary>What a stored capture says of where it comes from.</summary>
/// <param name="Board">The board's name.</param>
/// <param name="Channel">The channel that was exercised.</param>
/// <param name="Adapter">The adapter in words: board, firmware, place.</param>
/// <param name="Started">When the run started.</param>
/// <param name="ProgramVersion">The version of the program that wrote it.</param>
public sealed record CaptureHeading(string Board, string Channel, string Adapter, DateTimeOffset Started, string ProgramVersion);
