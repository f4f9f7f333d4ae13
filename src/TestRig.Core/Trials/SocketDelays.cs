using TestRig.Core.Judging;

namespace TestRig.Core.Trials;

/// <summary>How long the emitter takes to follow the command at the socket's delay load.</summary>
/// <param name="On">In seconds; null where no such transition was seen.</param>
/// <param name="Off">In seconds; null where no such transition was seen.</param>
/// <param name="IsSilent">True where the channel was exercised and the emitter never followed.</param>
/// <param name="Words">What the exercise said.</param>
public sealed record SocketDelays(Estimate? On, Estimate? Off, bool IsSilent, string Words)
{
    /// <summary>What one exercise of the socket's channel tells.</summary>
    /// <param name="emitter">The name of the emitter's test point.</param>
    public static SocketDelays Of(ChannelResult result, string emitter)
    {
        Estimate? To(Expectation direction) => result.Findings.FirstOrDefault(finding => finding.TestPoint == emitter && finding.Expected == direction)?.Measured is { } measured
            ? new(measured.Value.ToSeconds(), measured.StandardUncertainty.ToSeconds()) { Expanded = measured.Guard.ToSeconds() }
            : null;
        return new(To(Expectation.Rises), To(Expectation.Falls), result.Condition is Condition.Dead or Condition.StuckLow or Condition.StuckHigh, result.Summary);
    }
}
