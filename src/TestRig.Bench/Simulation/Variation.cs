namespace TestRig.Bench.Simulation;

/// <summary>
/// Differences between parts and between events, from one seed. Every element has a stream of its own, by its name, so that a fault in one part leaves
/// all others as they are.
/// </summary>
internal sealed class Variation(int seed)
{
    public Random For(string name)
    {
        unchecked
        {
            // FNV-1a: the same on every machine and in every run, which string.GetHashCode is not.
            var hash = 2166136261u ^ (uint)seed;
            foreach (var letter in name)
                hash = (hash ^ letter) * 16777619u;
            return new((int)hash);
        }
    }

    /// <summary>A factor between 1 − <paramref name="share"/> and 1 + <paramref name="share"/>, most often near 1.</summary>
    public static double Factor(Random random, double share) => 1 + (share * Between(random));

    /// <summary>A number between −1 and 1, most often near 0: the sum of three uniform ones.</summary>
    private static double Between(Random random) => (random.NextDouble() + random.NextDouble() + random.NextDouble() - 1.5) / 1.5;
}
