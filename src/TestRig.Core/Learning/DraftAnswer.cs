using TestRig.Core.Boards;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>How a point answers a line.</summary>
/// <param name="Follows">True when the point is high while the line is high; false when it is low then.</param>
/// <param name="Seen">Pulses in which the point was looked at from before the command to the end.</param>
/// <param name="Answered">Those of them in which it changed with the command and back without it.</param>
/// <param name="On">Its mean delay behind the line's going on.</param>
/// <param name="Off">Its mean delay behind the line's going idle.</param>
/// <param name="Bounces">Transitions after the first, most in any pulse.</param>
/// <param name="Settle">From the first to the last of them, at most.</param>
public sealed record DraftAnswer(Line Line, string Point, bool Follows, int Seen, int Answered, MeasuredDelay On, MeasuredDelay Off, int Bounces, Duration Settle)
{
    /// <summary>The level that it has while the line is on.</summary>
    public Level WhileOn => Follows ? Line.Active : Line.Idle;

    /// <summary>Below this share of pulses it would have answered all of those by chance only once in 20 times: the success run, 0.05^(1/n) (common practice).</summary>
    public double AtLeast => Math.Pow(0.05, 1.0 / Seen);
}
