using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Serialization;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Reporting;

/// <summary>What is attached, and what a loop test measured, for other programs: format testrig-adapters/1. Times in picoseconds, as the keys say.</summary>
public static class AdaptersJson
{
    /// <param name="refused">Ports behind which no adapter was found, each with the reason.</param>
    /// <param name="loop">Null when none was asked for.</param>
    public static string Write(IEnumerable<(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins)> adapters, IEnumerable<(string Port, string Reason)> refused, LoopResult? loop) =>
        JsonSerializer.Serialize(
            new Document("testrig-adapters/1", [.. adapters.Select(adapter => Entry(adapter.Identity, adapter.Pins))], [.. refused.Select(item => new Refused(item.Port, item.Reason))], Entry(loop)),
            RecordJson.Options);

    private static Adapter Entry(AdapterIdentity adapter, ImmutableArray<AdapterPin> pins) => new(
        adapter.Kind, adapter.Place, adapter.Board, adapter.Firmware, adapter.Tick.Picoseconds, adapter.Resolution.Picoseconds,
        adapter.ClockTolerance, adapter.StopBound.Picoseconds, adapter.LongestProgram.Picoseconds,
        [.. pins.Where(pin => pin.Fine).Select(pin => pin.Name)], [.. pins.Where(pin => pin.Crossing).Select(pin => pin.Name)]);

    private static Loop? Entry(LoopResult? loop) => loop is null
        ? null
        : new(
            loop.Line, loop.Input, loop.Repeats, loop.Good, loop.Resolution.Picoseconds,
            [.. loop.Delays.Select(delays => new Delays(
                delays.Pin, delays.To.ArrivalWord(), delays.Seen, delays.Minimum?.Picoseconds, delays.Mean?.Picoseconds, delays.Maximum?.Picoseconds,
                delays.Uncertainty?.Picoseconds))],
            [.. loop.Fine.Select(fine => new FineDelays(
                fine.Delays.Pin, fine.Delays.To.ArrivalWord(), fine.Delays.Seen, fine.Delays.Minimum?.Picoseconds, fine.Delays.Mean?.Picoseconds, fine.Delays.Maximum?.Picoseconds,
                fine.Delays.Uncertainty?.Picoseconds, fine.Stated?.Least.Picoseconds, fine.Stated?.Most.Picoseconds, fine.Latency?.Least.Picoseconds, fine.Latency?.Most.Picoseconds))]);

    private sealed record Document(string Format, ImmutableArray<Adapter> Adapters, ImmutableArray<Refused> Refused, Loop? SelfTest);

    private sealed record Adapter(
        string Kind,
        string Place,
        string Board,
        string Firmware,
        [property: JsonPropertyName("tick_ps")] long TickPs,
        [property: JsonPropertyName("resolution_ps")] long ResolutionPs,
        double ClockTolerance,
        [property: JsonPropertyName("stopBound_ps")] long StopBoundPs,
        [property: JsonPropertyName("longestProgram_ps")] long LongestProgramPs,
        ImmutableArray<string> StampsChangesAt,
        ImmutableArray<string> StampsCrossingsAt);

    private sealed record Refused(string Port, string Reason);

    private sealed record Loop(
        string Line, string Input, int Repeats, bool Good, [property: JsonPropertyName("resolution_ps")] long ResolutionPs, ImmutableArray<Delays> Delays, ImmutableArray<FineDelays> Fine);

    private sealed record Delays(
        string Pin,
        string Edge,
        int Seen,
        [property: JsonPropertyName("minimum_ps")] long? MinimumPs,
        [property: JsonPropertyName("mean_ps")] long? MeanPs,
        [property: JsonPropertyName("maximum_ps")] long? MaximumPs,
        [property: JsonPropertyName("uncertainty_ps")] long? UncertaintyPs);

    private sealed record FineDelays(
        string Pin,
        string Edge,
        int Seen,
        [property: JsonPropertyName("minimum_ps")] long? MinimumPs,
        [property: JsonPropertyName("mean_ps")] long? MeanPs,
        [property: JsonPropertyName("maximum_ps")] long? MaximumPs,
        [property: JsonPropertyName("uncertainty_ps")] long? UncertaintyPs,
        [property: JsonPropertyName("statedLeast_ps")] long? StatedLeastPs,
        [property: JsonPropertyName("statedMost_ps")] long? StatedMostPs,
        [property: JsonPropertyName("latencyLeast_ps")] long? LatencyLeastPs,
        [property: JsonPropertyName("latencyMost_ps")] long? LatencyMostPs);
}
