using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>
/// Something that can be broken, as a <see cref="Reasoner{TFault}"/> sees it: faults with odds, experiments with finitely many outcomes, and what each explanation makes of them. It need not be a
/// board.
/// </summary>
public interface IFaultModel<TFault>
    where TFault : notnull
{
    /// <summary>Every single fault that the model knows, in an order that does not change.</summary>
    ImmutableArray<TFault> Faults { get; }

    /// <summary>
    /// False where the fault surely leaves the experiment as it is on a good one, which a model may know without a prediction: then the fault explains none of its outcomes that a good one does not show.
    /// </summary>
    bool Concerns(TFault fault, int experiment) => true;

    /// <summary>Predictions of each of these explanations are going to be asked for: a model that makes several at the same time may make them now.</summary>
    void Foresee(ImmutableArray<ImmutableArray<TFault>> explanations)
    {
    }

    /// <summary>Outcomes that an experiment can have, 1 to 32: they count from 0.</summary>
    int OutcomesOf(int experiment);

    /// <summary>Odds of a fault before anything was seen: p / (1 − p).</summary>
    double OddsOf(TFault fault);

    /// <summary>Probability that an experiment shows an outcome that the true explanation does not predict: noise, and what the model leaves out.</summary>
    double MisjudgedAt(int experiment);

    /// <summary>False of two faults that exclude each other, as two modes of one part do.</summary>
    bool CanCoincide(TFault one, TFault other);

    /// <summary>
    /// What an explanation makes of all experiments; with no fault in it, what a good one does. Several forecasts where it leaves open what happens, each a way in which all of it may
    /// happen together.
    /// </summary>
    ImmutableArray<Forecast> Predict(ImmutableArray<TFault> faults);

    /// <summary>The same with more ways in which it may happen, where the model knows of more: asked of few explanations.</summary>
    ImmutableArray<Forecast> PredictClosely(ImmutableArray<TFault> faults) => Predict(faults);

    /// <summary>As <see cref="Foresee"/>, of close predictions.</summary>
    void ForeseeClosely(ImmutableArray<ImmutableArray<TFault>> explanations)
    {
    }

    /// <summary>
    /// A forecast of some experiments that costs less than one of all, for a first choice among many faults; null where there is none. What it says of those experiments is what <see cref="Predict"/> says.
    /// </summary>
    /// <param name="surprising">Experiments that a good one would not show so.</param>
    IPartialForecasts<TFault>? Partly(ImmutableArray<int> surprising) => null;
}
