using System.Globalization;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>
/// All that one sweep tells, as far as it can be told: two benches with the same observation are alike to whoever sees nothing but sweeps. What lies too near a limit for the adapter is one outcome of its
/// own, and so is a point that does not settle, wherever it was found.
/// </summary>
internal sealed record Observation
{
    private Observation(string text) => Text = text;

    /// <summary>A line for each sight, sorted.</summary>
    public string Text { get; }

    /// <param name="seen">Of one sweep, in any order.</param>
    public static Observation Of(IEnumerable<Seen> seen) => new(string.Join(
        '\n',
        seen.Select(one => string.Create(CultureInfo.InvariantCulture, $"{one.Sight.Channel}\t{one.Sight.Point}\t{one.Sight.Kind}\t{Told(one)}")).Order(StringComparer.Ordinal)));

    private static string Told(Seen one) => !one.Surely ? "not told"
        : one.Sight.Kind == SightKind.Trace && (TraceOutcomes.Restless >> one.Outcome & 1) != 0 ? "unsettled"
        : one.Outcome.ToString(CultureInfo.InvariantCulture);
}
