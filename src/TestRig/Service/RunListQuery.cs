using System.ComponentModel;
using Microsoft.AspNetCore.Mvc;
using TestRig.Bench.Storage;
using TestRig.Core.Judging;

namespace TestRig.Service;

/// <summary>Which runs are wanted, as it is written in the address of a list.</summary>
internal sealed record RunListQuery
{
    public const int UsualLimit = 50, LargestLimit = 500;

    [FromQuery(Name = "board"), Description("Part of the board's name, in any case.")]
    public string? Board { get; init; }

    [FromQuery(Name = "serial"), Description("The board's serial number, in any case.")]
    public string? Serial { get; init; }

    [FromQuery(Name = "condition"), Description("Runs in which some channel was in this condition: working, dead, stuck-high, stuck-low, slow, weak, bouncing, inverted, crossed, intermittent, lead-open or not-tested.")]
    public string? Condition { get; init; }

    [FromQuery(Name = "kind"), Description("sweep, soak or trial.")]
    public string? Kind { get; init; }

    [FromQuery(Name = "failed"), Description("true: with a failing cycle, or a part that violates a limit; false: without.")]
    public string? Failed { get; init; }

    [FromQuery(Name = "since"), Description("Begun then or later: a day (2026-03-12), or an instant (2026-03-12T18:00:00Z).")]
    public string? Since { get; init; }

    [FromQuery(Name = "until"), Description("Begun before then, or on this day.")]
    public string? Until { get; init; }

    [FromQuery(Name = "before"), Description("The runs that a list of all has behind the run of this name: the next page.")]
    public string? Before { get; init; }

    [FromQuery(Name = "limit"), Description("At most so many, 1 to 500; 50 where nothing is said.")]
    public string? Limit { get; init; }

    public int Most => (int)(QueryText.Number("limit", Limit, 1, LargestLimit) ?? UsualLimit);

    /// <summary>With one more than is shown: then there is a next page.</summary>
    /// <exception cref="BadQueryException">Something in it cannot be understood.</exception>
    public RunFilter ToFilter(TimeProvider time) => new(
        QueryText.Words("board", Board), QueryText.Word<RunKind>("kind", Kind), QueryText.Truth("failed", Failed), QueryText.Instant("since", Since, time, end: false), QueryText.Instant("until", Until, time, end: true),
        QueryText.Words("serial", Serial), QueryText.Word<Condition>("condition", Condition), QueryText.Words("before", Before), Most + 1);

    /// <summary>The query of the page behind the run of this name.</summary>
    public string Behind(string run)
    {
        List<KeyValuePair<string, string?>> written =
            [new("board", Board), new("serial", Serial), new("condition", Condition), new("kind", Kind), new("failed", Failed), new("since", Since), new("until", Until), new("limit", Limit), new("before", run)];
        return "?" + string.Join('&', written.Where(entry => !string.IsNullOrWhiteSpace(entry.Value)).Select(entry => $"{entry.Key}={Uri.EscapeDataString(entry.Value!)}"));
    }
}
