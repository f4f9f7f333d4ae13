using System.Collections.Immutable;
using System.Numerics;
using FsCheck;
using FsCheck.Fluent;
using TestRig.Core.Diagnosing.Choosing;

namespace TestRig.Core.Tests.Diagnosing.Choosing;

/// <summary>Passes against a search of every sequence of passes there is, on small boards; and what has to hold of any plan, on larger ones.</summary>
public class PassPlannerTests
{
    /// <summary>Six channels of four points and four leads: one channel in each pass, and the 20 points that the first leaves out take a move each.</summary>
    [Theory]
    [InlineData(4, 6, 20)]
    [InlineData(8, 3, 16)]
    [InlineData(12, 2, 12)]
    [InlineData(24, 1, 0)]
    [InlineData(30, 1, 0)]
    public void Channels_alike_are_seen_whole_as_many_at_a_time_as_there_are_leads_for(int leads, int passes, int moves)
    {
        var plan = Chains(6, 4).Plan(leads)!;
        Assert.Equal((passes, moves), (plan.Passes.Length, plan.Moves));
        Assert.Empty(plan.Split);
    }

    /// <summary>A path of five points and three leads: points 0 1 2, then 2 3 4. The point where the parts join is in both.</summary>
    [Fact]
    public void A_channel_that_is_too_long_for_the_leads_is_seen_in_parts_that_have_a_point_in_common()
    {
        var plan = Chains(1, 5).Plan(3)!;
        Assert.Equal([0], plan.Split.AsEnumerable());
        Assert.Equal(["0 1 2", "2 3 4"], plan.Passes.Select(pass => string.Join(' ', pass.Points.Order())));
    }

    [Fact]
    public void With_fewer_leads_than_kinds_there_is_no_plan() => Assert.Null(new PassPlanner([0, 1], [[0, 1]]).Plan(1));

    /// <summary>
    /// All boards of up to four points and three channels, with leads of one or two kinds. The search knows nothing of windows or orders: it goes from any set of points to any other, each new point one move.
    /// </summary>
    [Fact]
    public void On_every_small_board_no_sequence_of_passes_has_fewer_moves_or_with_as_many_fewer_channels_split()
    {
        var compared = 0;
        foreach (var kinds in (ImmutableArray<int>[])[[0], [0, 0], [0, 1], [0, 0, 0], [0, 1, 1], [0, 0, 0, 0], [0, 0, 1, 1], [0, 1, 1, 1]])
        {
            foreach (var channels in ChannelSets(kinds.Length))
            {
                for (var leads = kinds.Max() + 1; leads < kinds.Length; leads++)
                {
                    var plan = new PassPlanner(kinds, [.. channels.Select(Points)]).Plan(leads)!;
                    var best = EverySequence.Best(kinds, channels, leads);
                    Assert.True(
                        best == (plan.Moves, plan.Split.Length),
                        $"kinds {string.Join(' ', kinds)}, channels {string.Join(", ", channels.Select(set => string.Join(' ', Points(set))))}, {leads} leads: {best} is possible, {(plan.Moves, plan.Split.Length)} was planned");
                    compared++;
                }
            }
        }
        Assert.True(compared > 1000, $"only {compared} boards were compared");
    }

    /// <summary>The bound itself, M − N, on boards of any size: no lead comes to a point twice, each keeps its kind and always has a point.</summary>
    [Fact]
    public void Every_plan_sees_every_point_with_as_many_moves_as_points_are_left_out_of_the_first_pass()
    {
        var boards =
            from points in Gen.Choose(1, 24)
            from kinds in Gen.Choose(0, 2).ArrayOf(points)
            from channels in Gen.Choose(0, points - 1).ListOf(Math.Min(points, 6)).ListOf(7)
            from leads in Gen.Choose(1, points + 1)
            select (Kinds: Numbered(kinds), Channels: channels.Select(channel => channel.Distinct().ToImmutableArray()).Append([.. Enumerable.Range(0, points)]).ToImmutableArray(), Leads: leads);
        Prop.ForAll(boards.ToArbitrary(), board =>
        {
            var plan = new PassPlanner(board.Kinds, board.Channels).Plan(board.Leads);
            if (plan is null)
                return board.Leads < board.Kinds.Distinct().Count();
            var first = Math.Min(board.Leads, board.Kinds.Length);
            var came = plan.Passes[0].Points.Concat(plan.Passes.SelectMany(pass => pass.Moves).Select(move => move.To)).ToList();
            return plan.Moves == board.Kinds.Length - first
                && came.Order().SequenceEqual(Enumerable.Range(0, board.Kinds.Length))
                && plan.Passes.Skip(1).All(pass => pass.Moves.All(move => board.Kinds[move.From] == board.Kinds[move.To] && pass.Points[move.Lead] == move.To))
                && plan.Passes.Zip(plan.Passes.Skip(1)).All(pair => pair.Second.Moves.All(move => pair.First.Points[move.Lead] == move.From))
                && plan.Passes.All(pass => pass.Points.Distinct().Count() == first && pass.Whole.All(channel => board.Channels[channel].All(pass.Points.Contains)))
                && plan.Split.Concat(plan.Passes.SelectMany(pass => pass.Whole)).Order().SequenceEqual(Enumerable.Range(0, board.Channels.Length));
        }).QuickCheckThrowOnFailure();
    }

    private static PassPlanner Chains(int channels, int length) => new(
        [.. Enumerable.Repeat(0, channels * length)], [.. Enumerable.Range(0, channels).Select(channel => Enumerable.Range(channel * length, length).ToImmutableArray())]);

    /// <summary>Kinds from 0 without a gap, as they are given.</summary>
    private static ImmutableArray<int> Numbered(int[] kinds)
    {
        var known = kinds.Distinct().ToList();
        return [.. kinds.Select(kind => known.IndexOf(kind))];
    }

    /// <summary>Every one, two or three different sets of points that together hold all; a set is a number with a bit for each point.</summary>
    private static IEnumerable<int[]> ChannelSets(int points)
    {
        var all = (1 << points) - 1;
        for (var first = 1; first <= all; first++)
        {
            if (first == all)
                yield return [first];
            for (var second = first + 1; second <= all; second++)
            {
                if ((first | second) == all)
                    yield return [first, second];
                for (var third = second + 1; third <= all; third++)
                {
                    if ((first | second | third) == all)
                        yield return [first, second, third];
                }
            }
        }
    }

    private static ImmutableArray<int> Points(int set) => [.. Enumerable.Range(0, BitOperations.Log2((uint)set) + 1).Where(point => (set >> point & 1) != 0)];

    /// <summary>Every sequence of passes, breadth first: which points have leads, which were seen, which channels were whole, and the moves so far.</summary>
    private static class EverySequence
    {
        public static (int Moves, int Split) Best(ImmutableArray<int> kinds, int[] channels, int leads)
        {
            var all = (1 << kinds.Length) - 1;
            var best = (Moves: int.MaxValue, Split: int.MaxValue);
            foreach (var ofFirstKind in kinds.Max() == 0 ? [leads] : Enumerable.Range(1, leads - 1))
            {
                bool IsPossible(int at) => Points(at).Count(point => kinds[point] == 0) <= ofFirstKind && Points(at).Count(point => kinds[point] == 1) <= leads - ofFirstKind;

                var possible = Enumerable.Range(1, all).Where(IsPossible).ToList();
                int Whole(int at) => Enumerable.Range(0, channels.Length).Where(channel => (channels[channel] & ~at) == 0).Sum(channel => 1 << channel);
                var reached = new HashSet<(int At, int Seen, int Whole, int Moves)>(possible.Select(at => (at, at, Whole(at), 0)));
                var fresh = reached.ToList();
                while (fresh.Count > 0)
                {
                    foreach (var state in fresh.Where(state => state.Seen == all))
                    {
                        var found = (state.Moves, Split: channels.Length - BitOperations.PopCount((uint)state.Whole));
                        best = found.CompareTo(best) < 0 ? found : best;
                    }
                    // More moves than points there are is never fewer.
                    fresh =
                    [
                        .. fresh.SelectMany(state => possible.Select(at => (At: at, Seen: state.Seen | at, Whole: state.Whole | Whole(at), Moves: state.Moves + BitOperations.PopCount((uint)(at & ~state.At)))))
                            .Where(state => state.Moves <= kinds.Length && state.Moves <= best.Moves && reached.Add(state)),
                    ];
                }
            }
            return best;
        }
    }
}
