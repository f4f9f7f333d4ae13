using System.Collections.Immutable;
using TestRig.Core.Boards;

namespace TestRig.Bench.Wiring;

/// <summary>Where the leads are while the board is exercised once.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Board">The profile's board with the leads of this pass.</param>
/// <param name="Clips">Of the points that take turns, those with a lead, each with its adapter pin of this pass; the first pass's, lead by lead, and the same leads in each later one.</param>
/// <param name="Moves">What is moved before this pass; nothing before the first.</param>
/// <param name="Whole">Channels that show all of their points in this pass, and in none before it.</param>
public sealed record ClipPass(int Number, Board Board, ImmutableArray<TestPoint> Clips, ImmutableArray<ClipMove> Moves, ImmutableArray<Channel> Whole);

/// <summary>One clip is moved; its adapter pin stays the same.</summary>
/// <param name="From">With the adapter pin of the lead.</param>
/// <param name="To">With the same one.</param>
public sealed record ClipMove(TestPoint From, TestPoint To)
{
    /// <summary>The lead needs another divider, or another resistor, at the point that it goes to.</summary>
    public bool ChangesResistors => !ClipPasses.TakeTheSame(From, To);
}
