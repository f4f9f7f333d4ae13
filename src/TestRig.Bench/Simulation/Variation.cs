using System.Globalization;

namespace TestRig.Bench.Simulation;

/// <summary>
/// Differences between parts and between events, from one seed. Every element has a stream of its own, by its name, so that a fault in one part leaves
/// all others as they are.
/// </summary>
public sealed class Variation
{
    /// <summary>Null where nothing varies.</summary>
    private readonly int? _seed;

    /// <summary>Parts differ and events do not.</summary>
    private readonly bool _isQuiet;

    public Variation(int seed) => _seed = seed;

    private Variation()
    {
    }

    /// <summary>
    /// Nothing varies: every part is what its type says, no clock errs, no reading is noisy, and whatever happens by chance happens in the middle of what is usual. What is
    /// measured on such a bench is what the board should show.
    /// </summary>
    public static Variation Nominal { get; } = new();

    private Variation(int seed, bool isQuiet) => (_seed, _isQuiet) = (seed, isQuiet);

    /// <summary>
    /// The bench of a seed, its parts, clock and supplies, on which events do not vary: no reading is noisy, and whatever happens by chance happens in the middle of what is usual, as on a nominal one.
    /// </summary>
    public static Variation WithoutNoise(int seed) => new(seed, isQuiet: true);

    /// <summary>"seed 3", "seed 3 without noise" or "nominal parts".</summary>
    public override string ToString() => _seed is { } seed ? string.Create(CultureInfo.InvariantCulture, $"seed {seed}{(_isQuiet ? " without noise" : "")}") : "nominal parts";

    internal Random For(string name)
    {
        if (_seed is not { } seed)
            return new Middle();
        unchecked
        {
            // FNV-1a: the same on every machine and in every run, which string.GetHashCode is not.
            var hash = 2166136261u ^ (uint)seed;
            foreach (var letter in name)
                hash = (hash ^ letter) * 16777619u;
            return _isQuiet ? new OfParts((int)hash) : new Random((int)hash);
        }
    }

    /// <summary>What an element draws when something happens, given what it draws its own figures from: the same stream goes on; where no event varies, the middle.</summary>
    internal static Random OfEvents(Random random) => random is OfParts ? new Middle() : random;

    /// <summary>A factor between 1 − <paramref name="share"/> and 1 + <paramref name="share"/>, most often near 1; 1 where nothing varies.</summary>
    internal static double Factor(Random random, double share) => 1 + (share * Between(random));

    /// <summary>Whether what happens to this share of events happens to this one. Where nothing varies: evenly, to the second of three for a third.</summary>
    internal static bool Happens(Random random, double share) => random is Middle middle ? middle.IsDue(share) : random.NextDouble() < share;

    /// <summary>Numbers between 0 and 1, ascending; evenly spaced where nothing varies.</summary>
    internal static double[] Places(Random random, int count)
    {
        var places = new double[count];
        for (var place = 0; place < count; place++)
            places[place] = random is Middle ? (place + 1.0) / (count + 1) : random.NextDouble();
        Array.Sort(places);
        return places;
    }

    /// <summary>A number between −1 and 1, most often near 0: the sum of three uniform ones.</summary>
    private static double Between(Random random) => (random.NextDouble() + random.NextDouble() + random.NextDouble() - 1.5) / 1.5;

    /// <summary>Of an element's own figures only.</summary>
    private sealed class OfParts(int seed) : Random(seed);

    /// <summary>Always the middle of what could come.</summary>
    private sealed class Middle : Random
    {
        private double _due = 0.5;

        public override double NextDouble() => 0.5;

        public override int Next(int maxValue) => maxValue / 2;

        public override int Next(int minValue, int maxValue) => minValue + ((maxValue - minValue) / 2);

        public bool IsDue(double share)
        {
            _due += share;
            if (_due < 1)
                return false;
            _due--;
            return true;
        }
    }
}
