using Microsoft.AspNetCore.Mvc;
using TestRig.Core.Quantities;

namespace TestRig.Service;

/// <summary>What a page of a run shows, as it is written in its address: a cycle, and of one channel a stretch of time.</summary>
internal sealed record StretchQuery
{
    [FromQuery(Name = "cycle")]
    public string? Cycle { get; init; }

    [FromQuery(Name = "channel")]
    public string? Channel { get; init; }

    [FromQuery(Name = "from")]
    public string? From { get; init; }

    [FromQuery(Name = "to")]
    public string? To { get; init; }

    public long? CycleNumber => QueryText.Number("cycle", Cycle, 1, long.MaxValue);

    /// <summary>Null for the beginning and the end of the capture.</summary>
    public (Duration? From, Duration? To) StretchOf(string channel) => channel == Channel ? (QueryText.Time("from", From), QueryText.Time("to", To)) : default;
}
