using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Choosing;

/// <summary>How so many leads come to all points, pass by pass.</summary>
/// <param name="Passes">In order; at least one.</param>
/// <param name="Split">Channels of which no pass shows all points; ascending.</param>
public sealed record PassPlan(ImmutableArray<LeadPass> Passes, ImmutableArray<int> Split)
{
    /// <summary>Clips that are moved, over all passes.</summary>
    public int Moves => Passes.Sum(pass => pass.Moves.Length);
}

/// <summary>Where the leads are while the board is exercised once.</summary>
/// <param name="Points">For each lead, its point.</param>
/// <param name="Moves">What is moved before this pass; nothing before the first.</param>
/// <param name="Whole">Channels that show all of their points in this pass, and in none before it; ascending.</param>
public sealed record LeadPass(ImmutableArray<int> Points, ImmutableArray<LeadMove> Moves, ImmutableArray<int> Whole);

/// <summary>One clip is taken from one point and put to another.</summary>
public sealed record LeadMove(int Lead, int From, int To);
