using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>
/// The figures of the adapter that is simulated, in ticks of its clock where no unit is named: what it states of itself, and what really happens within that.
/// </summary>
public sealed record AdapterFigures
{
    private AdapterFigures()
    {
    }

    /// <summary>Those of the reference firmware on an ATmega2560 at 16 MHz (firmware-notes/timing.md).</summary>
    public static AdapterFigures Reference { get; } = new();

    public Duration Tick { get; private init; } = new(62_500);

    /// <summary>As a fraction, ±.</summary>
    public double ClockTolerance { get; private init; } = 0.005;

    public Duration LongestProgram { get; private init; } = Duration.FromMilliseconds(30_000);

    /// <summary>Time between two looks while nothing happens.</summary>
    public long Look { get; private init; } = 19;

    /// <summary>The pins of one look are read within this time.</summary>
    public long Skew { get; private init; } = 9;

    public long StopBound { get; private init; } = 470;

    /// <summary>One conversion, worst case with everything around it.</summary>
    public long Sample { get; private init; } = 2900;

    /// <summary>What the converter itself takes for one conversion.</summary>
    public long Converts { get; private init; } = 1664;

    /// <summary>The width of a change's interval when nothing else happens near it.</summary>
    public Duration Resolution => Tick * (Look + Skew + 1);

    internal static Duration ShortestHeartbeat { get; } = Duration.FromMilliseconds(100);

    internal static Duration LongestHeartbeat { get; } = Duration.FromMilliseconds(60_000);

    /// <summary>The longest wait for the converter's clock.</summary>
    internal long ConverterWait { get; private init; } = 128;

    /// <summary>Counted; what is stated of a record is a little more, which holds behind a gap as well.</summary>
    internal long RecordTakes { get; private init; } = 49;

    internal long HousekeepingTakes { get; private init; } = 37;

    internal long StepTakes { get; private init; } = 32;

    internal long HousekeepingPeriod { get; private init; } = 65536;

    /// <summary>From a look's stamp to the poll for steps.</summary>
    internal long LookToPoll { get; private init; } = 8;

    /// <summary>From there to the lines.</summary>
    internal long PollToLines { get; private init; } = 7;

    internal long EarliestStep { get; private init; } = 1600;

    internal long StepSpacing { get; private init; } = 320;

    internal const int MostSteps = 48, MostChanges = 480, MostLevels = 48, MostSamples = 64;

    /// <summary>It is an instrument that records what others do: nothing is checked before a command.</summary>
    public bool OnlyRecords { get; private init; }

    /// <summary>Of a supply that serves as the converter's reference (common practice).</summary>
    internal const double ReferenceVolts = 5, ReferenceTolerance = 0.05;

    internal const int ConverterSteps = 1024;

    /// <summary>What is stated: 52 ticks of the reference firmware.</summary>
    private long Record => OnlyRecords ? RecordTakes : RecordTakes + 3;

    /// <summary>A step that comes right behind a poll waits for the rest of a look and for what the step before took: 48 ticks of the reference firmware.</summary>
    private long Housekeeping => OnlyRecords ? Look + StepTakes : Math.Max(HousekeepingTakes + 11, Look - LookToPoll + StepTakes + 5);

    /// <summary>L + D + H: the last look before a step cannot be older.</summary>
    internal long GapBeforeStep => Look + Record + Housekeeping;

    internal LookTiming Looks => new(Look, Skew, Record, Housekeeping, HousekeepingPeriod);

    internal ProgramRules Rules => new("The simulated adapter", Tick, LongestProgram, EarliestStep, StepSpacing, Sample, MostSteps, MostLevels, MostSamples);

    /// <summary>The same adapter with its looks so far apart that it resolves no better than this. It is not made finer.</summary>
    public AdapterFigures Coarser(Duration resolution)
    {
        var look = UpFrom(resolution, Tick) - Skew - 1;
        return look <= Look ? this : this with { Look = look, StopBound = StopBound + (2 * (look - Look)) };
    }

    /// <summary>
    /// An adapter with the clock, the looks and the limits of a real one, as far as it states them: what it does not state (how long a record or a step takes) is that of the
    /// reference firmware, and an adapter that this computer times is taken for one that times itself. A recording instrument is not kept from looking by what it stores or drives.
    /// </summary>
    public static AdapterFigures Like(AdapterIdentity real)
    {
        var tick = real.Tick;
        long Ticks(Duration duration) => Math.Max(1, (long)Math.Round((decimal)duration.Picoseconds / tick.Picoseconds));
        long Counted(long ticks) => Ticks(Reference.Tick * ticks);
        long Busy(long ticks) => real.IsRecording ? 1 : Counted(ticks);
        var width = UpFrom(real.Resolution, tick) - 1;
        var look = real.Look > Duration.Zero ? Ticks(real.Look) : Math.Max(2, width - Math.Min(Counted(Reference.Skew), Math.Max(1, width / 3)));
        var sample = Ticks(real.SampleTime);
        return new()
        {
            OnlyRecords = real.IsRecording,
            Tick = tick,
            ClockTolerance = real.ClockTolerance,
            LongestProgram = real.LongestProgram,
            Look = look,
            Skew = Math.Max(1, width - look),
            StopBound = UpFrom(real.StopBound, tick),
            Sample = sample,
            Converts = Math.Max(1, sample * Reference.Converts / Reference.Sample),
            ConverterWait = Math.Max(1, sample * Reference.ConverterWait / Reference.Sample),
            RecordTakes = Busy(Reference.RecordTakes),
            HousekeepingTakes = Busy(Reference.HousekeepingTakes),
            StepTakes = Busy(Reference.StepTakes),
            HousekeepingPeriod = Counted(Reference.HousekeepingPeriod),
            LookToPoll = Math.Min(Busy(Reference.LookToPoll), Math.Max(1, look / 2)),
            PollToLines = Busy(Reference.PollToLines),
            EarliestStep = Counted(Reference.EarliestStep),
            StepSpacing = Counted(Reference.StepSpacing),
        };
    }

    internal long Nearest(Duration duration) => (long)Math.Round((decimal)duration.Picoseconds / Tick.Picoseconds);

    /// <summary>Whole ticks, not fewer than the duration.</summary>
    private static long UpFrom(Duration duration, Duration tick) => (duration.Picoseconds + tick.Picoseconds - 1) / tick.Picoseconds;
}
