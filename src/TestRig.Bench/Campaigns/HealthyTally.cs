using System.Collections.Immutable;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Campaigns;

/// <summary>Sweeps of boards on which nothing is wrong.</summary>
public sealed record HealthyTally(int Sweeps, ImmutableArray<FalseAlarm> Alarms)
{
    public const double Confidence = 0.95;

    /// <summary>With 95 % confidence no larger share of healthy boards gives an alarm; 1 when none was swept.</summary>
    public double AlarmsAtMost => Sweeps == 0 ? 1 : ExactShare.AtMost(Alarms.Length, Sweeps, Confidence);
}
