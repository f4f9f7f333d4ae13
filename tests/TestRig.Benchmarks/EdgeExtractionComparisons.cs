using System.Globalization;
using System.Runtime.Intrinsics;
using TestRig.Core.Captures;

namespace TestRig.Benchmarks;

/// <summary>Edges out of packed samples, against merely reading the same memory.</summary>
internal static class EdgeExtractionComparisons
{
    /// <summary>Far beyond any cache.</summary>
    private const int Samples = 256 << 20;

    /// <summary>Samples handed over at a time: their result stays in the cache.</summary>
    private const int Buffer = 16 << 10;

    public static IEnumerable<Comparison> All =>
    [
        // Goals: a little below what a trial on this kind of machine reached (0.81, 0.68, 0.16).
        Of(1e-6, 0.75),
        Of(1e-3, 0.6),
        Of(0.5, 0.15),
    ];

    private static Comparison Of(double density, double goal) => new(
        $"edges from packed samples, density {density.ToString(CultureInfo.InvariantCulture)}, speed as a share of reading memory",
        RatioKind.ShareOfYardstick,
        goal,
        () => Prepare(density));

    private static Contest Prepare(double density)
    {
        var samples = new byte[Samples];
        var changes = Fill(samples, density);
        var or = ReadAll(samples);
        var positions = new int[Buffer + 256];
        var values = new byte[Buffer + 256];
        return new(
            () =>
            {
                var extraction = new EdgeExtraction();
                var found = 0L;
                for (var at = 0; at < samples.Length; at += Buffer)
                    found += extraction.Extract(samples.AsSpan(at, Buffer), positions, values, out _);
                if (found != changes)
                    throw new InvalidOperationException($"found {found} changes of {changes}");
            },
            () =>
            {
                if (ReadAll(samples) != or)
                    throw new InvalidOperationException("the memory changed");
            });
    }

    private static long Fill(byte[] samples, double density)
    {
        var random = new Random(1);
        var changes = 0L;
        var value = (byte)0;
        var at = 0;
        while (true)
        {
            // Geometric pauses, so that every sample changes with this probability and no branch predictor learns a pattern.
            var pause = 1 + (long)(Math.Log(1 - random.NextDouble()) / Math.Log(1 - density));
            var end = (int)Math.Min(samples.Length, at + pause);
            samples.AsSpan(at, end - at).Fill(value);
            at = end;
            if (at == samples.Length)
                return changes;
            value ^= (byte)(1 << random.Next(8));
            changes++;
        }
    }

    /// <summary>Reads every byte once, in four independent streams of vectors: as fast as this machine delivers memory to one core.</summary>
    private static ulong ReadAll(byte[] samples)
    {
        unchecked
        {
            ref var start = ref samples[0];
            var (a, b, c, d) = (Vector256<byte>.Zero, Vector256<byte>.Zero, Vector256<byte>.Zero, Vector256<byte>.Zero);
            for (nuint at = 0; at < (nuint)samples.Length; at += 128)
            {
                a |= Vector256.LoadUnsafe(ref start, at);
                b |= Vector256.LoadUnsafe(ref start, at + 32);
                c |= Vector256.LoadUnsafe(ref start, at + 64);
                d |= Vector256.LoadUnsafe(ref start, at + 96);
            }
            return Vector256.Sum((a | b | c | d).AsUInt64());
        }
    }
}
