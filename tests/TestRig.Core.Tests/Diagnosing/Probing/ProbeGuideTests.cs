using System.Collections.Immutable;
using TestRig.Core.Diagnosing.Probing;
using TestRig.Core.Diagnosing.Reasoning;

namespace TestRig.Core.Tests.Diagnosing.Probing;

/// <summary>
/// A chain of stages of which one is dead, all alike before: behind it nothing comes. A question with two answers halves what is left at best, so that n stages need ⌈log2 n⌉ of them, and half-split needs no
/// more (common practice in trouble-shooting; the bound is that of a binary search, Knuth, The Art of Computer Programming 3, section 6.2.1: value from memory).
/// </summary>
public class ProbeGuideTests
{
    public static TheoryData<int, int> EveryChain
    {
        get
        {
            var data = new TheoryData<int, int>();
            for (var stages = 2; stages <= 16; stages++)
            {
                for (var dead = 1; dead <= stages; dead++)
                    data.Add(stages, dead);
            }
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(EveryChain))]
    public void A_dead_stage_is_found_in_the_binary_logarithm_of_the_stages(int stages, int dead)
    {
        var (touched, left) = Touch(stages, dead, goodBefore: 0, unreachable: []);
        Assert.Equal([dead], left);
        Assert.InRange(touched.Count, 1, CeilingOfLog2(stages));
    }

    /// <summary>That nothing is wrong is one possibility more.</summary>
    [Theory]
    [InlineData(4)]
    [InlineData(9)]
    public void With_a_chain_that_may_be_whole_the_whole_one_is_told_too(int stages)
    {
        var (touched, left) = Touch(stages, dead: 0, goodBefore: 1.0 / (stages + 1), unreachable: []);
        Assert.Equal([0], left);
        Assert.InRange(touched.Count, 1, CeilingOfLog2(stages + 1));
    }

    /// <summary>Stages 4 and 5 cannot be told apart without the point between them, and nothing else is asked for in its place.</summary>
    [Fact]
    public void Where_a_point_cannot_be_reached_the_two_stages_around_it_are_left()
    {
        var (touched, left) = Touch(8, dead: 5, goodBefore: 0, unreachable: [4]);
        Assert.Equal([4, 5], left);
        Assert.DoesNotContain(4, touched);
    }

    /// <summary>Of 5 stages, behind 2 and behind 3 tell alike: log2 5 − (2·1 + 3·log2 3)/5 both.</summary>
    [Fact]
    public void What_tells_alike_is_touched_in_the_order_of_the_path()
    {
        var chain = new Chain(5);
        var guide = new ProbeGuide<int>(chain, 0);
        var next = guide.Next(guide.Believe(Outcomes.None), Outcomes.None, chain.Places)!.Value;
        Assert.Equal("2", next.Place.Name);
        Assert.Equal(Math.Log2(5) - (((2 * 1) + (3 * Math.Log2(3))) / 5), next.Information, 1e-9);
    }

    private static int CeilingOfLog2(int count)
    {
        var questions = 0;
        while (1 << questions < count)
            questions++;
        return questions;
    }

    /// <param name="dead">From 1; 0 for none.</param>
    private static (List<int> Touched, List<int> Left) Touch(int stages, int dead, double goodBefore, int[] unreachable)
    {
        var chain = new Chain(stages);
        var guide = new ProbeGuide<int>(chain, goodBefore);
        var (seen, touched) = (Outcomes.None, new List<int>());
        var open = chain.Places.Where((_, index) => !unreachable.Contains(index + 1)).ToList();
        while (guide.Next(guide.Believe(seen), seen, open) is var (place, _))
        {
            open.Remove(place);
            var point = place.Experiments[0];
            touched.Add(point + 1);
            seen = seen.With(point, dead > 0 && point >= dead - 1 ? 0 : 1);
        }
        return (touched, [.. guide.Believe(seen).Ranked.Where(entry => entry.Belief > 0.01).Select(entry => entry.Explanation.Faults.SingleOrDefault()).Order()]);
    }

    /// <summary>Experiment i looks behind stage i + 1: 1 where the command comes through.</summary>
    private sealed class Chain(int stages) : IFaultModel<int>
    {
        public ImmutableArray<int> Faults { get; } = [.. Enumerable.Range(1, stages)];

        public ImmutableArray<ProbePlace> Places { get; } = [.. Enumerable.Range(1, stages).Select(stage => new ProbePlace(stage.ToString(System.Globalization.CultureInfo.InvariantCulture), [stage - 1]))];

        public int OutcomesOf(int experiment) => 2;

        public double OddsOf(int fault) => 0.01;

        public double MisjudgedAt(int experiment) => 1e-6;

        /// <summary>One stage is dead, and no more than one.</summary>
        public bool CanCoincide(int one, int other) => false;

        public ImmutableArray<Forecast> Predict(ImmutableArray<int> faults) => [new([.. Enumerable.Range(0, stages).Select(point => faults.Any(dead => point >= dead - 1) ? 1u : 2u)])];
    }
}
