namespace TestRig.Bench.Exercising;

/// <summary>For a sweep that nobody watches: what happens is told to nobody.</summary>
internal sealed class Unwatched : IProgress<SweepEvent>
{
    public static Unwatched Sweep { get; } = new();

    public void Report(SweepEvent value)
    {
    }
}
