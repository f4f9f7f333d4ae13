namespace TestRig.Core.Boards;

/// <summary>One buffer of a package, by pin numbers. <paramref name="Enable"/> is the pin that enables it, null when it has none.</summary>
public sealed record BufferSection(string Input, string Output, string? Enable);
