using System.Collections.Immutable;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>All records of one burst as they came over the link, and the capture that they make.</summary>
internal sealed record BurstRecords(
    BurstEnd End,
    ImmutableArray<ProgramStep> Steps,
    ImmutableArray<ChangeRecord> Changes,
    ImmutableArray<LevelRecord> Levels,
    ImmutableArray<GapRecord> Gaps)
{
    /// <summary>What makes these records unfit for any verdict; null when nothing does.</summary>
    public string? Contradiction(int snapshotBytes, int analogPins)
    {
        if (Changes.Length != End.Changes || Levels.Length != End.Levels || Gaps.Length != End.Gaps)
        {
            return $"run {End.Run} ended with {End.Changes} changes, {End.Levels} levels and {End.Gaps} gaps, "
                + $"but {Changes.Length}, {Levels.Length} and {Gaps.Length} were handed over";
        }
        if (Changes.IsEmpty)
            return $"run {End.Run} has no record of its first look";
        for (var index = 0; index < Changes.Length; index++)
        {
            if (Changes[index].Snapshot.Length != snapshotBytes)
                return $"change {index} has a snapshot of {Changes[index].Snapshot.Length} bytes";
            if (index > 0 && Changes[index].Stamp <= Changes[index - 1].Stamp)
                return $"change {index} at tick {Changes[index].Stamp} does not come after the one before it";
        }
        return Levels.FirstOrDefault(level => level.Entry.AnalogIndex >= analogPins) is { } stray
            ? $"a level was read at analog pin {stray.Entry.AnalogIndex} of only {analogPins}"
            : null;
    }

    /// <summary>
    /// A select pin that some look saw at another level than it was set to; null when there is none. Call only when there is no <see cref="Contradiction"/>.
    /// </summary>
    /// <param name="selects">Mask of the select pins, by number.</param>
    /// <param name="high">Those of them that are high.</param>
    public byte? StraySelect(PinMap pins, uint selects, uint high)
    {
        foreach (var pin in pins.Sensed.Where(pin => pin < 32 && (selects >> pin & 1) == 1))
        {
            var level = (high >> pin & 1) == 1 ? Level.High : Level.Low;
            if (Changes.Any(change => PinMap.LevelOf(change.Snapshot, pin) != level))
                return pin;
        }
        return null;
    }

    /// <summary>Call only when there is no <see cref="Contradiction"/>.</summary>
    public Capture ToCapture(PinMap pins, DeviceScales scales)
    {
        var gaps = Gaps.OrderBy(gap => gap.From).ToImmutableArray();
        var intervals = Intervals(scales.Looks, gaps);
        var end = Math.Max(End.End, Changes[^1].Stamp);
        return new(
            scales.Tick,
            scales.Resolution,
            scales.ClockTolerance,
            scales.At(end),
            [.. pins.Sensed.GroupBy(pin => pin / 8).SelectMany(port => SignalsOf(port.Key, port, pins, intervals, scales.Tick))],
            [.. gaps.Select(gap => new Gap(scales.At(gap.From), scales.At(gap.To), ReasonOf(gap.Cause)))],
            [.. Levels.Select(level => scales.Reading(pins.AnalogName(level.Entry.AnalogIndex), scales.At(level.At), level.Entry))],
            new CaptureEnding(OutcomeOf(End.Outcome), End.Outcome == BurstOutcome.StopInput ? pins.Name(End.Pin) : null));
    }

    private ImmutableArray<LookInterval> Intervals(LookTiming looks, ImmutableArray<GapRecord> gaps)
    {
        long[] stamps = [.. Changes.Select(change => (long)change.Stamp)];
        long[] steps = [.. Steps.Select(step => (long)step.At)];
        TickGap[] unseen = [.. gaps.Select(gap => new TickGap(gap.From, gap.To))];
        return looks.Intervals(stamps, steps, unseen);
    }

    /// <summary>The signals of one byte of the snapshots: the records are packed samples, taken when something changed.</summary>
    private IEnumerable<Signal> SignalsOf(
        int port, IEnumerable<byte> sensed, PinMap pins, ImmutableArray<LookInterval> intervals, Duration tick)
    {
        byte[] samples = [.. Changes.Select(change => change.Snapshot[port])];
        var positions = new int[samples.Length];
        var values = new byte[samples.Length];
        var found = new EdgeExtraction().Extract(samples, positions, values, out _);
        foreach (var pin in sensed)
        {
            var initial = PinMap.LevelOf(samples[0], pin);
            var level = initial;
            var changes = ImmutableArray.CreateBuilder<Change>();
            for (var edge = 0; edge < found; edge++)
            {
                var now = PinMap.LevelOf(values[edge], pin);
                if (now == level)
                    continue;
                level = now;
                changes.Add(intervals[positions[edge] - 1].To(level, tick));
            }
            yield return new(pins.Name(pin), initial, changes.ToImmutable());
        }
    }

    private static GapReason ReasonOf(GapCause cause) => cause switch
    {
        GapCause.Measuring => GapReason.MeasuringLevels,
        GapCause.NoRoomForChanges => GapReason.NoRoomForChanges,
        _ => GapReason.NoRoomForLevels,
    };

    private static CaptureOutcome OutcomeOf(BurstOutcome outcome) => outcome switch
    {
        BurstOutcome.Complete => CaptureOutcome.Complete,
        BurstOutcome.StopInput => CaptureOutcome.StopInput,
        _ => CaptureOutcome.HostByte,
    };
}
