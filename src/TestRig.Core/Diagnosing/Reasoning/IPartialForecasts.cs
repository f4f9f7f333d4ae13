using System.Collections.Immutable;

namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>Forecasts of single faults for some of the experiments.</summary>
public interface IPartialForecasts<TFault>
{
    /// <summary>Whether it tells of that experiment.</summary>
    bool Covers(int experiment);

    ImmutableArray<Forecast> Predict(TFault fault);

    /// <summary>Predictions of each of these are going to be asked for.</summary>
    void Foresee(ImmutableArray<TFault> faults);
}
