namespace TestRig.Core.Boards;

/// <summary>One driver of a package, by pin numbers.</summary>
public sealed record DriverSection(string Input, string Output);
