using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>What was found out about looks before anything was driven, with this computer under load.</summary>
/// <param name="Usual">Median of one look.</param>
/// <param name="Longest">The longest look.</param>
/// <param name="LongestWidth">The widest interval that a look would have left for a change.</param>
internal sealed record LookTimes(Duration Usual, Duration Longest, Duration LongestWidth)
{
    /// <summary>
    /// The width of a change's interval that is stated: the widest that was seen, one look more, and what a step of a program takes, with the pause in front
    /// of it: switching a line costs a driver up to two transfers for the one of a look.
    /// </summary>
    public Duration Resolution => LongestWidth + Longest + (Usual * UsualLooksOfStep);

    private const int UsualLooksOfStep = 4;

    /// <summary>So long before a step no look is begun, lest it makes the step late.</summary>
    public Duration Pause => Usual + new Duration(Usual.Picoseconds / 2);

    /// <summary>Long enough to meet what a busy computer does now and then, short enough to wait for.</summary>
    private const long MeasuredFor = 500_000_000_000;

    /// <summary>A slow board, of which a look takes tens of milliseconds, is looked at for longer.</summary>
    private const int FewestLooks = 30;

    public static LookTimes Measure(PinBoard board, ReadOnlySpan<BoardPin> pins, IHostClock clock)
    {
        var levels = new Level[pins.Length];
        var begins = new List<long>();
        var ends = new List<long>();
        var until = clock.Now + MeasuredFor;
        while (ends.Count < FewestLooks || clock.Now < until)
        {
            begins.Add(clock.Now);
            board.Look(pins, levels);
            ends.Add(clock.Now);
        }
        long longest = 0, widest = 0;
        var lengths = new List<long>(ends.Count);
        for (var look = 0; look < ends.Count; look++)
        {
            lengths.Add(ends[look] - begins[look]);
            longest = Math.Max(longest, ends[look] - begins[look]);
            // From the earliest instant that the look before may tell of to the end of this one.
            if (look - 1 - board.LooksBehind is >= 0 and var known)
                widest = Math.Max(widest, ends[look] - begins[known]);
        }
        lengths.Sort();
        return new(new(lengths[lengths.Count / 2]), new(longest), new(widest));
    }
}
