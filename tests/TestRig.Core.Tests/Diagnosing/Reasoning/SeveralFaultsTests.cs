using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Tests.Diagnosing.Reasoning;

/// <summary>
/// Rows of lamps that are dark when all is well. Each fault lights some of them; what two do together is the union, and whatever the row adds for that pair. A lamp is misread once in 10 000 times: a misfit costs ln 10^-4 = −9.2,
/// more than a fault of odds 0.001 (−6.9). All expectations follow from that by hand. The limits are those of a model with more pairs than can be gone through.
/// </summary>
public class SeveralFaultsTests
{
    private static readonly SearchLimits _search = SearchLimits.Usual with { PairsThroughout = 1 };

    [Fact]
    public void Two_faults_are_found_that_light_lamps_of_their_own() =>
        Assert.Equal(["a", "b"], Best(new Row(("a", [0, 1]), ("b", [2, 3]), ("c", [1])), 0, 1, 2, 3));

    /// <summary>Of x and y, which do the same, x is the more probable; but it is of the same part as b, and cannot be there with it.</summary>
    [Fact]
    public void Of_those_that_do_the_same_one_is_taken_that_can_be_there_with_the_other()
    {
        var row = new Row(("x", [0, 1]), ("y", [0, 1]), ("b", [2, 3])) { Exclusive = [("x", "b")], Unlikely = ["y"] };
        Assert.Equal(["b", "y"], Best(row, 0, 1, 2, 3));
        Assert.DoesNotContain(Explained(row, 0, 1, 2, 3).Ranked, entry => entry.Explanation.Faults.Contains("x") && entry.Explanation.Faults.Contains("b"));
    }

    /// <summary>Put together from what each does alone, a and b leave lamps 4 to 6 unexplained: three misfits, as many as c and d leave of the first four.</summary>
    [Fact]
    public void What_two_do_only_together_is_found() =>
        Assert.Equal(["a", "b"], Best(new Row(("a", [0, 1]), ("b", [2, 3]), ("c", [4, 5]), ("d", [6])) { Together = [("a", "b", [4, 5, 6])] }, 0, 1, 2, 3, 4, 5, 6));

    /// <summary>
    /// x and y do the same alone, and x is 50 times more probable; beside b it lights lamp 6 as well, which is dark. By hand: x and b −9.2 − 13.8 = −23.0, y and b −6.9 − 10.8 = −17.7.
    /// </summary>
    [Fact]
    public void Of_those_that_do_the_same_alone_each_is_judged_by_what_it_does_beside_the_other()
    {
        var row = new Row(("x", [0, 1]), ("y", [0, 1]), ("b", [2, 3])) { Unlikely = ["y"], Together = [("x", "b", [6])] };
        var found = new Reasoner<string>(row, _search with { PairsThroughout = 2 }).Explain(Lit(0, 1, 2, 3));
        Assert.Equal(("b y", 0), (string.Join(" ", found.Best.Faults.Order(StringComparer.Ordinal)), found.Best.Misfits));
        Assert.Equal(1, Assert.Single(found.Ranked, entry => entry.Explanation.Faults.Length == 2 && entry.Explanation.Faults.Contains("x") && entry.Explanation.Faults.Contains("b")).Explanation.Misfits);
    }

    /// <summary>
    /// Alone, m lights what is dark; beside a it lights lamp 2 and no other. No estimate tells that, and with room for one prediction another pair (a and c: two misfits, not five) is the more promising.
    /// </summary>
    [Fact]
    public void What_shows_elsewhere_beside_the_best_single_fault_is_found_though_nothing_promises_it()
    {
        var row = new Row(("a", [0, 1]), ("c", [3]), ("m", [4, 5, 6, 7])) { Instead = [("a", "m", [0, 1, 2])] };
        var found = new Reasoner<string>(row, _search with { MostPredicted = 1, LookedAtClosely = 1 }).Explain(Lit(0, 1, 2));
        Assert.Equal(("a m", 0), (string.Join(" ", found.Best.Faults.Order(StringComparer.Ordinal)), found.Best.Misfits));
    }

    /// <summary>z is 50 times less probable than a; what was seen does not tell them apart.</summary>
    [Fact]
    public void What_looks_the_same_in_place_of_one_of_them_is_among_what_was_found_however_improbable()
    {
        // The two differ at a lamp that was not looked at, so that they are not of one kind.
        var row = new Row(("a", [0, 1]), ("z", [0, 1, 7]), ("b", [2, 3])) { Unlikely = ["z"] };
        var found = new Reasoner<string>(row, _search).Explain(Outcomes.Of(Enumerable.Range(0, 7).Select(lamp => new Shown(lamp, lamp < 4 ? 2u : 1u))));
        Assert.Equal(["a", "b"], found.Best.Faults.Order(StringComparer.Ordinal));
        var other = Assert.Single(found.Ranked, entry => entry.Explanation.Faults.Length == 2 && entry.Explanation.Faults.Contains("z") && entry.Explanation.Faults.Contains("b"));
        Assert.True(other.Explanation.IsAlike(found.Best));
    }

    /// <summary>b and c do not concern the first four lamps, so neither explains them; a explains all: nobody need ask what b and c do.</summary>
    [Fact]
    public void What_cannot_explain_is_not_predicted_while_one_fault_explains_all()
    {
        var row = new Row(("a", [0, 1, 2, 3]), ("b", [4]), ("c", [5])) { Concerning = new() { ["b"] = [3, 4], ["c"] = [3, 5] } };
        Assert.Equal(["a"], Best(row, 0, 1, 2, 3));
        Assert.Equal(["", "a"], row.Asked.Order(StringComparer.Ordinal));
    }

    private static IEnumerable<string> Best(Row row, params int[] lit) => Explained(row, lit).Best.Faults.Order(StringComparer.Ordinal);

    private static SearchResult<string> Explained(Row row, params int[] lit) => new Reasoner<string>(row, _search).Explain(Lit(lit));

    private static Outcomes Lit(params int[] lit) => Outcomes.Of(Enumerable.Range(0, Row.Lamps).Select(lamp => new Shown(lamp, lit.Contains(lamp) ? 2u : 1u)));

    private sealed class Row(params (string Name, int[] Lights)[] faults) : IFaultModel<string>
    {
        public const int Lamps = 8;

        public (string One, string Other)[] Exclusive { get; init; } = [];

        public (string One, string Other, int[] Lights)[] Together { get; init; } = [];

        /// <summary>Pairs that light these, whatever each lights alone.</summary>
        public (string One, string Other, int[] Lights)[] Instead { get; init; } = [];

        public string[] Unlikely { get; init; } = [];

        public Dictionary<string, int[]> Concerning { get; init; } = [];

        public HashSet<string> Asked { get; } = [];

        public ImmutableArray<string> Faults => [.. faults.Select(fault => fault.Name)];

        public int OutcomesOf(int experiment) => 2;

        public double OddsOf(string fault) => Unlikely.Contains(fault) ? 0.00002 : 0.001;

        public double MisjudgedAt(int experiment) => 1e-4;

        public bool CanCoincide(string one, string other) => one != other && !Exclusive.Contains((one, other)) && !Exclusive.Contains((other, one));

        public bool Concerns(string fault, int experiment) => !Concerning.TryGetValue(fault, out var lamps) || lamps.Contains(experiment);

        public ImmutableArray<Forecast> Predict(ImmutableArray<string> broken)
        {
            Asked.Add(string.Join(' ', broken));
            if (Instead.FirstOrDefault(pair => broken.Length == 2 && broken.Contains(pair.One) && broken.Contains(pair.Other)) is { Lights: { } instead })
                return [new([.. Enumerable.Range(0, Lamps).Select(lamp => instead.Contains(lamp) ? 2u : 1u)])];
            var lit = faults.Where(fault => broken.Contains(fault.Name)).SelectMany(fault => fault.Lights)
                .Concat(Together.Where(pair => broken.Contains(pair.One) && broken.Contains(pair.Other)).SelectMany(pair => pair.Lights))
                .ToHashSet();
            return [new([.. Enumerable.Range(0, Lamps).Select(lamp => lit.Contains(lamp) ? 2u : 1u)])];
        }
    }
}
