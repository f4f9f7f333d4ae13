using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>The points that answer one line, and in what order.</summary>
/// <param name="Answers">Those behind the line alone, as far as it can be told in the order in which a command passes them; those of which that cannot be told by their mean delays.</param>
/// <param name="Untold">Pairs of them whose order the resolution cannot tell.</param>
/// <param name="Crossed">Pairs of which one is first when the line goes on and the other when it goes idle: not one behind the other.</param>
/// <param name="Latest">For each of the answers the latest delay, in any pulse and with all that is not known of it, behind the one in front (or the line): to the level while on, and back.</param>
public sealed record DraftChain(
    Line Line, ImmutableArray<DraftAnswer> Answers, ImmutableArray<(string First, string Second)> Untold, ImmutableArray<(string First, string Second)> Crossed,
    ImmutableArray<(Duration On, Duration Off)> Latest)
{
    /// <summary>True when it is known that a command passes <paramref name="first"/> before <paramref name="second"/>, both of them answers.</summary>
    public bool IsBefore(string first, string second)
    {
        var (one, other) = (IndexOf(first), IndexOf(second));
        return one >= 0 && other >= 0 && one < other && !Untold.Concat(Crossed).Any(pair => (pair.First == first && pair.Second == second) || (pair.First == second && pair.Second == first));
    }

    private int IndexOf(string point) => Answers.IndexOf(Answers.FirstOrDefault(answer => answer.Point == point)!);
}
