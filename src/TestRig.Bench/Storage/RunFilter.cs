using TestRig.Core.Judging;

namespace TestRig.Bench.Storage;

/// <summary>Which runs are wanted; null wants all.</summary>
/// <param name="Board">Part of the board's name, in any case.</param>
/// <param name="Failed">Runs with a failing cycle, or those without.</param>
/// <param name="Since">Begun then or later.</param>
/// <param name="Until">Begun before then.</param>
/// <param name="Serial">The board's serial number, in any case.</param>
/// <param name="Condition">Runs with a cycle in which some channel was in it.</param>
/// <param name="Before">Those that a list of all runs has behind the run of this name; none where there is no such run.</param>
/// <param name="Most">The latest of those that are wanted otherwise, at most so many.</param>
public sealed record RunFilter(
    string? Board = null, RunKind? Kind = null, bool? Failed = null, DateTimeOffset? Since = null, DateTimeOffset? Until = null, string? Serial = null, Condition? Condition = null, string? Before = null, int? Most = null);
