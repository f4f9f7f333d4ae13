using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>An input that ends lines in the device itself: a limit switch, or the sense contact of the emergency stop.</summary>
/// <param name="StopsAt">The level at which the lines must not be on.</param>
/// <param name="Lines">The lines that it ends and forbids.</param>
/// <param name="IsLimit">A limit switch: its profile has it end one line, which moves towards it, and says so by that line's name. It stays one, and any other stop none, where only a part of the board is driven.</param>
public sealed record StopInput(TestPoint Point, Level StopsAt, ImmutableArray<Line> Lines, bool IsLimit)
{
    /// <summary>Whether it forbids every line that there is, and is no limit switch of the only one.</summary>
    public bool EndsAll(Board board) => !IsLimit && Lines.Length == board.Lines.Length;
}
