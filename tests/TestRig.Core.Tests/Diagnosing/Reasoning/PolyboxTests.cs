using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Tests.Diagnosing.Reasoning;

/// <summary>
/// Three multipliers and two adders: M1 = A·C, M2 = B·D, M3 = C·E, A1 = M1 + M2 gives F, A2 = M2 + M3 gives G. With A..E = 3, 2, 2, 3, 3 both are 12; F is seen to be 10, G to be 12.
/// Source: J. de Kleer and B. C. Williams, "Diagnosing multiple faults", Artificial Intelligence 32 (1987) 97-130; B. C. Williams, MIT 16.412J, lecture of 10 March 2004.
/// </summary>
public class PolyboxTests
{
    private const int F = 0, G = 1, X = 2, Y = 3, Z = 4;

    private static readonly Polybox _box = new();
    private static readonly Outcomes _seen = Outcomes.None.With(F, 10).With(G, 12);
    private static readonly SearchResult<string> _result = new Reasoner<string>(_box, SearchLimits.Usual).Explain(_seen);

    [Fact]
    public void The_minimal_diagnoses_are_those_of_the_paper() => Assert.Equal(
        ["A1", "A2 M2", "M1", "M2 M3"],
        _result.Minimal.Select(faults => string.Join(' ', faults.Order(StringComparer.Ordinal))).Order(StringComparer.Ordinal));

    /// <summary>With p = 0.01 for each component; worked out by enumeration of the 27 consistent candidates.</summary>
    [Fact]
    public void A1_and_M1_are_believed_alike_and_before_all_else()
    {
        Assert.Equal(["A1", "M1"], _result.Ranked.Take(2).Select(entry => Assert.Single(entry.Explanation.Faults)).Order(StringComparer.Ordinal));
        Assert.All(_result.Ranked.Take(2), entry => Assert.Equal(0.478, entry.Belief, 3));
    }

    [Fact]
    public void X_is_to_be_measured_next()
    {
        var next = new[] { X, Y, Z }.Select(point => NextMeasurement.Of(_box, _result, _seen, point)).MaxBy(measurement => measurement.Information)!;
        Assert.Equal(X, next.Experiment);
        Assert.Equal(0.502, next.Probabilities[6], 0.0015);
        Assert.Equal(0.493, next.Probabilities[4], 0.0015);
        Assert.Equal(0.990, NextMeasurement.Of(_box, _result, _seen, Y).Probabilities[6], 0.0015);
        Assert.Equal(0.995, NextMeasurement.Of(_box, _result, _seen, Z).Probabilities[6], 0.0015);
    }

    /// <summary>X = 6 clears M1, as a single fault: the adder behind it is left.</summary>
    [Fact]
    public void What_X_shows_leaves_one_of_the_two()
    {
        var reasoner = new Reasoner<string>(_box, SearchLimits.Usual);
        Assert.Equal(["A1"], reasoner.Explain(_seen.With(X, 6)).Best.Faults);
        Assert.Equal(["M1"], reasoner.Explain(_seen.With(X, 4)).Best.Faults);
    }

    /// <summary>A broken component gives anything; the values are small enough to be outcomes themselves.</summary>
    private sealed class Polybox : IFaultModel<string>
    {
        private const int Values = 32;

        public ImmutableArray<string> Faults => ["M1", "M2", "M3", "A1", "A2"];

        public int OutcomesOf(int experiment) => Values;

        public double OddsOf(string fault) => 0.01 / 0.99;

        public double MisjudgedAt(int experiment) => 1e-9;

        public bool CanCoincide(string one, string other) => true;

        public ImmutableArray<Forecast> Predict(ImmutableArray<string> faults) =>
        [
            .. from x in Product(faults.Contains("M1"), 3 * 2)
               from y in Product(faults.Contains("M2"), 2 * 3)
               from z in Product(faults.Contains("M3"), 2 * 3)
               where x + y < Values && y + z < Values
               select new Forecast([faults.Contains("A1") ? Forecast.Anything : 1u << (x + y), faults.Contains("A2") ? Forecast.Anything : 1u << (y + z), 1u << x, 1u << y, 1u << z]),
        ];

        private static IEnumerable<int> Product(bool broken, int value) => broken ? Enumerable.Range(0, Values) : [value];
    }
}
