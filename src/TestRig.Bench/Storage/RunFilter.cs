namespace TestRig.Bench.Storage;

/// <summary>Which runs are wanted; null wants all.</summary>
/// <param name="Board">Part of the board's name, in any case.</param>
/// <param name="Failed">Runs with a failing cycle, or those without.</param>
/// <param name="Since">Begun then or later.</param>
/// <param name="Until">Begun before then.</param>
/// <param name="Serial">The board's serial number, in any case.</param>
public sealed record RunFilter(string? Board = null, RunKind? Kind = null, bool? Failed = null, DateTimeOffset? Since = null, DateTimeOffset? Until = null, string? Serial = null);
