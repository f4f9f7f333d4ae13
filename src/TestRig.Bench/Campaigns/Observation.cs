using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Diagnosing;

namespace TestRig.Bench.Campaigns;

/// <summary>
/// All that one sweep tells, as far as it can be told: two benches with the same observation are alike to whoever sees nothing but sweeps. What lies too near a limit for the adapter is one outcome of its
/// own, and so is a point that does not settle, wherever it was found.
/// </summary>
internal sealed record Observation
{
    private const int Unsettled = 8;

    private readonly string _text;

    private Observation(string text) => _text = text;

    /// <param name="seen">Of one sweep, in any order.</param>
    public static Observation Of(IEnumerable<Seen> seen) => new(string.Join(
        '\n',
        seen.Select(one => string.Create(CultureInfo.InvariantCulture, $"{one.Sight.Channel}\t{one.Sight.Point}\t{one.Sight.Kind}\t{Told(one)}")).Order(StringComparer.Ordinal)));

    /// <summary>The sights that came out differently, or in one of the two only, to explain a difference to a person.</summary>
    public ImmutableArray<string> Differences(Observation other) =>
        [.. _text.Split('\n').Except(other._text.Split('\n')).Select(line => line.Replace('\t', ' ').Trim())];

    private static string Told(Seen one) => !one.Surely ? "not told"
        : one.Sight.Kind == SightKind.Trace && one.Outcome >= Unsettled ? "unsettled"
        : one.Outcome.ToString(CultureInfo.InvariantCulture);
}
