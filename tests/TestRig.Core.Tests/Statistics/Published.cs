using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Statistics;

/// <summary>Series of which trends are published.</summary>
internal static class Published
{
    /// <summary>Sulfate, mg/L, by year: USEPA 2009 Unified Guidance Example 17-6, as R package EnvStats has it (EPA.09.Ex.17.6).</summary>
    public static readonly TimedValue[] Sulfate = [.. new[]
    {
        (89.6, 480), (89.8, 450), (90.1, 490), (90.3, 520), (90.6, 485), (90.8, 510), (91.1, 510), (91.3, 530), (91.6, 510), (91.8, 560), (92.1, 560), (92.6, 540),
        (93.1, 590), (93.6, 550), (94.1, 600), (94.6, 700), (95.1, 570), (95.6, 610), (95.8, 650), (96.1, 620), (96.3, 830), (96.6, 720), (96.8, 590),
    }.Select(point => new TimedValue(point.Item1, point.Item2))];

    /// <summary>Monthly shampoo sales, by month from 0: Makridakis, Wheelwright and Hyndman, Forecasting (1998), as pyMannKendall's example has it.</summary>
    public static readonly TimedValue[] Shampoo = [.. new[]
    {
        266.0, 145.9, 183.1, 119.3, 180.3, 168.5, 231.8, 224.5, 192.8, 122.9, 336.5, 185.9, 194.3, 149.5, 210.1, 273.3, 191.4, 287.0,
        226.0, 303.6, 289.9, 421.6, 264.5, 342.3, 339.7, 440.4, 315.9, 439.3, 401.3, 437.4, 575.5, 407.6, 682.0, 475.3, 581.3, 646.9,
    }.Select((value, month) => new TimedValue(month, value))];

    public static IEnumerable<double> Values(this IEnumerable<TimedValue> points) => points.Select(point => point.Value);

    public static IEnumerable<double> Less(this IEnumerable<TimedValue> points, double slope) => points.Select(point => point.Value - (slope * point.Time));
}
