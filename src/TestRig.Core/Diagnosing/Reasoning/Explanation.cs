using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>Faults that together would explain what was seen; none of them when nothing is wrong.</summary>
/// <param name="LogLikelihood">Natural logarithm of the probability of what was seen, were it so.</param>
/// <param name="Misfits">Experiments whose outcome it does not predict.</param>
/// <param name="LogOdds">Natural logarithm of its odds before anything was seen.</param>
public sealed record Explanation<TFault>(ImmutableArray<TFault> Faults, double LogLikelihood, int Misfits, double LogOdds)
{
    /// <summary>
    /// Evidence up to this factor is "not worth more than a bare mention" (Kass and Raftery, Bayes Factors, JASA 90 (1995) 773-795, table of 2 ln B).
    /// </summary>
    private const double BareMention = 3.2;

    /// <summary>What ranks explanations: odds before, times likelihood.</summary>
    public double LogWeight => LogOdds + LogLikelihood;

    /// <summary>True when what was seen does not tell the two apart; what was known before may.</summary>
    public bool IsAlike(Explanation<TFault> other) => Math.Abs(LogLikelihood - other.LogLikelihood) <= Math.Log(BareMention);

    /// <summary>True when what was seen speaks for it and against the other.</summary>
    public bool IsBetterThan(Explanation<TFault> other) => LogLikelihood > other.LogLikelihood && !IsAlike(other);
}
