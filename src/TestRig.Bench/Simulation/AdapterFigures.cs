using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>
/// The figures of the adapter that is simulated: those of the reference firmware on an ATmega2560 at 16 MHz (firmware-notes/timing.md), and what really
/// happens within them.
/// </summary>
internal static class AdapterFigures
{
    public const long Look = 19, Skew = 9, StopBound = 470;

    /// <summary>Counted; what is stated of a record is 52, which holds behind a gap as well.</summary>
    public const long RecordTakes = 49, HousekeepingTakes = 37, StepTakes = 32;

    /// <summary>From a look's stamp to the poll for steps, and from there to the lines.</summary>
    public const long LookToPoll = 8, PollToLines = 7;

    /// <summary>L + D + H: the last look before a step cannot be older.</summary>
    public const long GapBeforeStep = 119;

    /// <summary>One conversion, worst case with everything around it; and what the converter itself takes, with the longest wait for its clock.</summary>
    public const long Sample = 2900, Converts = 1664, ConverterWait = 128;

    public const long EarliestStep = 1600, StepSpacing = 320, HousekeepingPeriod = 65536;

    public const int MostSteps = 48, MostChanges = 480, MostLevels = 48, MostSamples = 64;

    public const double ClockTolerance = 0.005;

    /// <summary>Of a supply that serves as the converter's reference (common practice).</summary>
    public const double ReferenceVolts = 5, ReferenceTolerance = 0.05;

    public const int ConverterSteps = 1024;

    public static readonly Duration Tick = new(62_500);

    public static readonly Duration LongestProgram = Duration.FromMilliseconds(30_000);

    public static readonly Duration ShortestHeartbeat = Duration.FromMilliseconds(100), LongestHeartbeat = Duration.FromMilliseconds(60_000);

    public static LookTiming Looks { get; } = new(Look, Skew, Record: 52, Housekeeping: 48, HousekeepingPeriod);

    public static ProgramRules Rules { get; } =
        new("The simulated adapter", Tick, LongestProgram, EarliestStep, StepSpacing, Sample, MostSteps, MostLevels, MostSamples);

    public static Duration Resolution { get; } = Tick * (Look + Skew + 1);

    public static long Nearest(Duration duration) => (long)Math.Round((decimal)duration.Picoseconds / Tick.Picoseconds);
}
