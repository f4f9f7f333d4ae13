using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>The earliest and the latest permitted delay of a stage's output behind its input, and where the numbers come from.</summary>
public sealed record DelayRange(Duration Earliest, Duration Latest, string Origin)
{
    public static DelayRange operator +(DelayRange left, DelayRange right) =>
        new(left.Earliest + right.Earliest, left.Latest + right.Latest, left.Origin + "; " + right.Origin);
}
