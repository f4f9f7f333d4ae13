using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>An input that ends lines in the device itself: a limit switch, or the sense contact of the emergency stop.</summary>
/// <param name="StopsAt">The level at which the lines must not be on.</param>
/// <param name="Lines">The lines that it ends and forbids.</param>
public sealed record StopInput(TestPoint Point, Level StopsAt, ImmutableArray<Line> Lines);
