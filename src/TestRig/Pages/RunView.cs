using System.Collections.Immutable;
using TestRig.Bench.Storage;

namespace TestRig.Pages;

/// <summary>All that the page of a run tells. Texts of several sentences are parts of a report, as HTML.</summary>
/// <param name="Verdict">The answer, in one sentence.</param>
/// <param name="Replace">The parts to replace; null where none is to be.</param>
/// <param name="Explanation">What stands below the verdict.</param>
/// <param name="Shown">Which cycle the waveforms are of, in words; empty of a sweep as a whole.</param>
/// <param name="Channels">Of the board, in its order; none of a trial.</param>
public sealed record RunView(StoredRun Run, BadgeKind Standing, string Verdict, string? Replace, string Explanation, string Shown, ImmutableArray<ChannelView> Channels)
{
    /// <summary>What kind of page it is.</summary>
    public required string Kind { get; init; }

    /// <summary>Name and value of what is known of the run as a whole.</summary>
    public required ImmutableArray<(string Term, string Value)> Facts { get; init; }

    /// <summary>What a part of the run is called that is captured by itself.</summary>
    public string CycleWord => Run.Heading.Kind == RunKind.Sweep ? "round" : "cycle";

    /// <summary>Cycles whose captures are kept; none where there is no choice.</summary>
    public ImmutableArray<KeptEntry> Kept { get; init; } = [];

    /// <summary>The one that is shown; null of a sweep as a whole.</summary>
    public long? Cycle { get; init; }

    /// <summary>The address of the board's map, and what it shows in words; null where there is none.</summary>
    public (string Address, string Description)? Map { get; init; }

    /// <summary>Parts of the report behind the channels: parts of a trial, checks, sessions, notes.</summary>
    public ImmutableArray<(string Id, string Html)> Sections { get; init; } = [];

    /// <summary>How to read it, and what to mind at the machine.</summary>
    public string Notes { get; init; } = "";

    /// <summary>Other runs that it may be compared with, the latest first.</summary>
    public ImmutableArray<StoredRun> Others { get; init; } = [];
}
