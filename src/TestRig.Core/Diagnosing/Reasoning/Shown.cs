namespace TestRig.Core.Diagnosing.Reasoning;

/// <summary>What one experiment showed.</summary>
/// <param name="Possible">The outcomes that it may have been, bit by bit; one where it could be told.</param>
public readonly record struct Shown(int Experiment, uint Possible)
{
    public bool Fits(Forecast forecast) => (forecast.At(Experiment) & Possible) != 0;
}
