using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Tests.Diagnosing.Reasoning;

/// <summary>
/// ISCAS-85 c17: six NAND gates, inputs 1, 2, 3, 6, 7, outputs 22 and 23. Netlist and the size of its collapsed fault set (22) from the header of c17.bench ("simplistically reduced equivalent
/// fault set size = 22"), F. Brglez and H. Fujiwara, ISCAS 1985.
/// </summary>
public class BenchmarkCircuitTests
{
    private static readonly int[] _inputs = [1, 2, 3, 6, 7];

    private static readonly (int Gate, int First, int Second)[] _gates = [(10, 1, 3), (11, 3, 6), (16, 2, 11), (19, 11, 7), (22, 10, 16), (23, 16, 19)];

    /// <summary>Every line: stems by their number, and the branches of those that lead to two gates.</summary>
    private static readonly string[] _lines = ["1", "2", "3", "6", "7", "10", "11", "16", "19", "22", "23", "3>10", "3>11", "11>16", "11>19", "16>22", "16>23"];

    [Fact]
    public void The_34_stuck_at_faults_fall_into_22_groups_and_each_is_in_its_own()
    {
        var model = new StuckLines();
        Assert.Equal(34, model.Faults.Length);
        var reasoner = new Reasoner<string>(model, SearchLimits.Usual with { PairsThroughout = 0 });
        var groups = new HashSet<string>();
        foreach (var fault in model.Faults)
        {
            var seen = Outcomes.Of(Enumerable.Range(0, 64).Select(experiment => (experiment, Output(experiment, fault, gate => null) ? 1 : 0)));
            var found = reasoner.Explain(seen);
            var group = found.Ranked.Where(entry => entry.Explanation.IsAlike(found.Best)).Select(entry => Assert.Single(entry.Explanation.Faults)).Order(StringComparer.Ordinal).ToList();
            Assert.Contains(fault, group);
            groups.Add(string.Join(' ', group));
        }
        Assert.Equal(22, groups.Count);
        Assert.Equal(34, groups.Sum(group => group.Split(' ').Length));
    }

    /// <summary>Input 00000, where a good one gives 0 at both outputs. Minimum-cardinality diagnoses worked out by hand from the netlist.</summary>
    [Theory]
    [InlineData(1, 0, "10", "22")]
    [InlineData(0, 1, "19", "23")]
    [InlineData(1, 1, "16")]
    public void The_fewest_gates_that_explain_wrong_outputs_are_found(int at22, int at23, params string[] expected)
    {
        var found = new Reasoner<string>(new BrokenGates(), SearchLimits.Usual).Explain(Outcomes.None.With(0, at22).With(1, at23));
        var fewest = found.Minimal.Min(faults => faults.Length);
        Assert.Equal(expected, found.Minimal.Where(faults => faults.Length == fewest).Select(faults => string.Join(' ', faults)).Order(StringComparer.Ordinal));
    }

    /// <param name="experiment">Twice the input vector, plus 1 for output 23.</param>
    private static bool Output(int experiment, string stuck, Func<int, bool?> brokenGate)
    {
        var values = new Dictionary<int, bool>();
        bool Stuck(string line, bool value) => stuck == line + "/0" ? false : stuck == line + "/1" || value;
        bool Branch(int stem, int gate) => Stuck($"{stem}>{gate}", values[stem]);
        for (var bit = 0; bit < _inputs.Length; bit++)
            values[_inputs[bit]] = Stuck($"{_inputs[bit]}", (experiment / 2 >> bit & 1) == 1);
        foreach (var (gate, first, second) in _gates)
            values[gate] = Stuck($"{gate}", brokenGate(gate) ?? !(Branch(first, gate) && Branch(second, gate)));
        return values[experiment % 2 == 0 ? 22 : 23];
    }

    /// <summary>One line stuck at one level; all 32 vectors, two outputs each.</summary>
    private sealed class StuckLines : IFaultModel<string>
    {
        public ImmutableArray<string> Faults { get; } = [.. _lines.SelectMany(line => new[] { line + "/0", line + "/1" })];

        public int OutcomesOf(int experiment) => 2;

        public double OddsOf(string fault) => 0.001;

        public double MisjudgedAt(int experiment) => 0.01;

        public bool CanCoincide(string one, string other) => one[..^2] != other[..^2];

        public ImmutableArray<Forecast> Predict(ImmutableArray<string> faults) =>
            [new([.. Enumerable.Range(0, 64).Select(experiment => Output(experiment, faults.SingleOrDefault(""), gate => null) ? 2u : 1u)])];
    }

    /// <summary>A gate that gives anything; one vector, two outputs.</summary>
    private sealed class BrokenGates : IFaultModel<string>
    {
        public ImmutableArray<string> Faults => ["10", "11", "16", "19", "22", "23"];

        public int OutcomesOf(int experiment) => 2;

        public double OddsOf(string fault) => 0.01;

        public double MisjudgedAt(int experiment) => 1e-9;

        public bool CanCoincide(string one, string other) => true;

        public ImmutableArray<Forecast> Predict(ImmutableArray<string> faults) =>
        [
            .. Enumerable.Range(0, 1 << faults.Length).Select(given => new Forecast([.. Enumerable.Range(0, 2).Select(experiment =>
                Output(experiment, "", gate => faults.IndexOf($"{gate}") is >= 0 and var broken ? (given >> broken & 1) == 1 : null) ? 2u : 1u)])),
        ];
    }
}
