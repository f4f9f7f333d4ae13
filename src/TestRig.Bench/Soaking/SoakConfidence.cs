namespace TestRig.Bench.Soaking;

/// <summary>How sure what a soak says is.</summary>
internal static class SoakConfidence
{
    /// <summary>Of every bound and interval.</summary>
    public const double Share = 0.95;
}
