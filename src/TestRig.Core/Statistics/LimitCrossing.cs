namespace TestRig.Core.Statistics;

/// <summary>When a trend crosses a limit if it goes on as it went, in the unit of the points' times. Before the last point: the line is beyond already.</summary>
/// <param name="At">By the slope itself.</param>
/// <param name="Earliest">By the steeper end of the slope's interval, about the middle of the points; never after <paramref name="At"/>.</param>
public sealed record LimitCrossing(double At, double Earliest);
