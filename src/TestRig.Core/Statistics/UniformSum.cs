namespace TestRig.Core.Statistics;

/// <summary>
/// The distribution of a sum of independent quantities, each uniform and symmetric about zero: what is left unknown of a duration between two quantised instants on a
/// clock that may be off. Two equal ones are triangular, two unequal ones trapezoidal (JCGM 101:2008 6.4.4 and 6.4.5: numbers from memory).
/// </summary>
public static class UniformSum
{
    /// <summary>The coverage probability of every interval that this program states.</summary>
    public const double Coverage = 0.95;

    /// <summary>What is smaller than this share of the largest standard deviation is no part of the computation and is added whole.</summary>
    private const double Negligible = 1e-4;

    private const int MostSingly = 3;

    /// <summary>Standard deviation: each part has half-width/√3 (JCGM 100:2008 4.3.7).</summary>
    public static double StandardDeviation(params ReadOnlySpan<UniformPart> parts)
    {
        var variance = 0.0;
        foreach (var part in parts)
            variance += part.Variance;
        return Math.Sqrt(variance);
    }

    /// <summary>
    /// Half-width of the symmetric interval that contains the sum with probability <see cref="Coverage"/>. In units of the parts. Closed forms for one part (0.95 of it) and
    /// for two (JCGM 101 6.4.4: for equal ones the width times 1 − √0.05), the exact piecewise polynomial for three. Of more, the smallest are joined to one of the same variance, which makes the
    /// probability wrong by less than 0.002; where more than three are equal, the characteristic function is inverted numerically.
    /// </summary>
    public static double HalfWidth(params ReadOnlySpan<UniformPart> parts)
    {
        var largest = 0.0;
        foreach (var part in parts)
            largest = Math.Max(largest, part.Variance);
        if (largest == 0)
            return 0;
        var limit = largest * Negligible * Negligible;
        Span<double> single = stackalloc double[MostSingly * parts.Length];
        var (kept, rest) = (0, 0.0);
        foreach (var part in parts)
        {
            if (part.Variance <= limit)
            {
                rest += part.Count <= MostSingly ? part.HalfWidth * part.Count : 2 * Math.Sqrt(part.Variance);
                continue;
            }
            if (part.Count > MostSingly)
                return Inverted(parts, limit);
            single.Slice(kept, part.Count).Fill(part.HalfWidth);
            kept += part.Count;
        }
        single = single[..kept];
        single.Sort();
        for (; single.Length > MostSingly; single = single[1..])
        {
            single[1] = Math.Sqrt((single[0] * single[0]) + (single[1] * single[1]));
            single[1..].Sort();
        }
        return rest + single.Length switch
        {
            1 => Coverage * single[0],
            2 => OfTwo(single[1], single[0]),
            _ => OfThree(single[0], single[1], single[2]),
        };
    }

    /// <summary>
    /// A trapezoid: flat up to the difference of the half-widths, then falling in a straight line to their sum. Outside x on the slope lies the area (sum − x)² / (4·a·b).
    /// </summary>
    private static double OfTwo(double larger, double smaller)
    {
        var onSlope = larger + smaller - Math.Sqrt((1 - Coverage) * 4 * larger * smaller);
        // The flat part ends where smaller / larger of the probability is left.
        return smaller >= (1 - Coverage) * larger ? onSlope : Coverage * larger;
    }

    private static double OfThree(double a, double b, double c)
    {
        var (low, high) = (0.0, a + b + c);
        for (var step = 0; step < 40; step++)
        {
            var middle = (low + high) / 2;
            if (WithinOfThree(middle, a, b, c) < Coverage)
                low = middle;
            else
                high = middle;
        }
        return high;
    }

    /// <summary>Probability that the sum of three is at most <paramref name="x"/> in magnitude: two upper tails, each a sum of cubes.</summary>
    private static double WithinOfThree(double x, double a, double b, double c)
    {
        var tail = Cube(a + b + c - x) - Cube(a + b - c - x) - Cube(a - b + c - x) - Cube(-a + b + c - x)
            + Cube(a - b - c - x) + Cube(-a + b - c - x) + Cube(-a - b + c - x) - Cube(-a - b - c - x);
        return 1 - (2 * tail / (48 * a * b * c));
    }

    private static double Cube(double x) => x > 0 ? x * x * x : 0;

    /// <summary>
    /// P(|S| ≤ x) = 2/π ∫ φ(t) sin(xt)/t dt with φ the product of sin(ht)/(ht) (Gil-Pelaez 1951: value from memory), by the trapezoidal rule, which is exact as long as 2π/step is
    /// longer than where the sum can lie; in units of the standard deviation.
    /// </summary>
    private static double Inverted(ReadOnlySpan<UniformPart> parts, double limit)
    {
        const double step = 2 * Math.PI / 40;
        const int most = 8000;
        var deviation = StandardDeviation(parts);
        var characteristic = new double[most];
        var terms = 0;
        for (; terms < most; terms++)
        {
            var t = (terms + 0.5) * step;
            var (product, envelope) = (1.0, 1.0);
            foreach (var part in parts)
            {
                if (part.Variance <= limit)
                    continue;
                var angle = part.HalfWidth / deviation * t;
                product *= Math.Pow(SinOver(angle), part.Count);
                envelope *= angle < 1 ? 1 : Math.Pow(angle, -part.Count);
            }
            // What is left out behind here is less than the last term.
            if (envelope < 1e-5)
                break;
            characteristic[terms] = product / t;
        }
        var (low, high) = (0.0, 3.0);
        for (var halving = 0; halving < 24; halving++)
        {
            var middle = (low + high) / 2;
            var within = 0.0;
            for (var term = 0; term < terms; term++)
                within += characteristic[term] * Math.Sin(middle * (term + 0.5) * step);
            if (within * step * 2 / Math.PI < Coverage)
                low = middle;
            else
                high = middle;
        }
        return high * deviation;
    }

    private static double SinOver(double x) => x < 1e-8 ? 1 : Math.Sin(x) / x;
}
