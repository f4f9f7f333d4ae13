using System.Buffers.Binary;
using TestRig.Bench.Simulation;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>A capture of the simulated bench as the records that the firmware keeps of one (link protocol, section 9).</summary>
internal sealed class FirmwareRecords
{
    /// <summary>The stamp of the first look, before which nothing is known.</summary>
    private const uint FirstLook = 40;

    private readonly List<byte> _changes = [];
    private readonly List<byte> _levels = [];
    private readonly List<byte> _gaps = [];

    public FirmwareRecords(Capture capture)
    {
        foreach (var (signal, pin) in capture.Signals.Select(signal => (signal, (int)FirmwarePins.NumberOf(signal.Name))))
            Set(_snapshot, pin, signal.Initial);
        AddChange(FirstLook);
        var changes = capture.Signals.SelectMany(signal => signal.Changes.Select(change => (Pin: (int)FirmwarePins.NumberOf(signal.Name), Change: change)));
        foreach (var look in changes.GroupBy(entry => entry.Change.NotAfter).OrderBy(look => look.Key))
        {
            foreach (var (pin, change) in look)
                Set(_snapshot, pin, change.Level);
            AddChange(Ticks(look.Key));
        }
        foreach (var level in capture.Levels)
            AddLevel(level);
        foreach (var gap in capture.Gaps)
        {
            Put(_gaps, Ticks(gap.From));
            Put(_gaps, Ticks(gap.To));
            _gaps.Add((byte)(gap.Reason == GapReason.MeasuringLevels ? GapCause.Measuring : GapCause.NoRoomForChanges));
            GapCount++;
        }
        End = Ticks(capture.End);
        Outcome = capture.Ending.Outcome switch
        {
            CaptureOutcome.Complete => BurstOutcome.Complete,
            CaptureOutcome.StopInput => BurstOutcome.StopInput,
            _ => BurstOutcome.HostByte,
        };
        StoppedBy = capture.Ending.StoppedBy is { } pinName ? FirmwarePins.NumberOf(pinName) : BurstEnd.NoPin;
    }

    private readonly byte[] _snapshot = new byte[FirmwarePins.SnapshotBytes];

    public BurstOutcome Outcome { get; }

    public byte StoppedBy { get; }

    public uint End { get; }

    public int ChangeCount { get; private set; }

    public int LevelCount { get; private set; }

    public int GapCount { get; private set; }

    public byte[] Changes => [.. _changes];

    public byte[] Levels => [.. _levels];

    public byte[] Gaps => [.. _gaps];

    /// <summary>A LEVEL entry of 12 bytes.</summary>
    public static byte[] Entry(string pin, IReadOnlyCollection<int> counts)
    {
        var entry = new byte[12];
        entry[0] = (byte)FirmwarePins.Analog.IndexOf(pin);
        entry[1] = (byte)counts.Count;
        BinaryPrimitives.WriteUInt32LittleEndian(entry.AsSpan(2), (uint)counts.Sum());
        BinaryPrimitives.WriteUInt16LittleEndian(entry.AsSpan(6), (ushort)counts.Min());
        BinaryPrimitives.WriteUInt16LittleEndian(entry.AsSpan(8), (ushort)counts.Max());
        return entry;
    }

    public static void Set(byte[] snapshot, int pin, Level level)
    {
        if (level == Level.High)
            snapshot[pin / 8] |= (byte)(1 << (pin % 8));
        else
            snapshot[pin / 8] &= (byte)(0xFF ^ (1 << (pin % 8)));
    }

    private void AddChange(uint stamp)
    {
        Put(_changes, stamp);
        _changes.AddRange(_snapshot);
        ChangeCount++;
    }

    private void AddLevel(LevelReading level)
    {
        const double step = AdapterFigures.ReferenceVolts / AdapterFigures.ConverterSteps;
        Put(_levels, Ticks(level.At));
        var entry = new byte[12];
        entry[0] = (byte)FirmwarePins.Analog.IndexOf(level.Signal);
        entry[1] = (byte)level.Samples;
        BinaryPrimitives.WriteUInt32LittleEndian(entry.AsSpan(2), (uint)Math.Round(level.Mean.Value / step * level.Samples));
        BinaryPrimitives.WriteUInt16LittleEndian(entry.AsSpan(6), (ushort)Math.Round(level.Minimum.Value / step));
        BinaryPrimitives.WriteUInt16LittleEndian(entry.AsSpan(8), (ushort)Math.Round(level.Maximum.Value / step));
        _levels.AddRange(entry);
        LevelCount++;
    }

    private static void Put(List<byte> to, uint value)
    {
        Span<byte> bytes = stackalloc byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        to.AddRange(bytes);
    }

    private static uint Ticks(Instant instant) => (uint)((instant - Instant.Start).Picoseconds / AdapterFigures.Reference.Tick.Picoseconds);
}
