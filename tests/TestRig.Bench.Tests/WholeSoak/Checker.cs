using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What must hold whatever happens, seen from the lines, the device and the store, and never from what the program says of itself.</summary>
internal sealed class Checker(World world, Board board)
{
    /// <summary>By the firmware's own figures (firmware-notes/timing.md) a step is late by 7 µs at most, and its clock is ±0.5 %.</summary>
    private const double Clock = 0.005, StepLateSeconds = 10e-6;

    /// <summary>Beside the heartbeat limit: the device's clock, and one round of its loop.</summary>
    private static readonly TimeSpan _disarmBound = TimeSpan.FromMilliseconds(100);

    private static readonly TimeSpan _look = TimeSpan.FromMilliseconds(250);

    private readonly Dictionary<string, Line> _lines = board.Lines.ToDictionary(line => line.AdapterPin);
    private readonly Dictionary<string, long> _onSince = [];
    private readonly Dictionary<string, long> _offSince = [];
    private readonly Dictionary<(Device Device, uint Session), uint> _lastRuns = [];
    private readonly HashSet<(Device Device, uint Session, uint Nonce, string Program)> _programs = [];
    private readonly List<(ImmutableArray<string> Pins, Capture? Capture)> _bursts = [];
    private readonly SortedDictionary<long, CycleRecord> _acknowledged = [];
    private (Device? Device, uint Session, uint Nonce) _arming;
    private long _lastSign;
    private int _committedUnheard;
    private int _answers;
    private Device? _device;

    /// <summary>How often something was held against what must hold.</summary>
    public long Checks { get; private set; }

    public long Cycles => _acknowledged.Count;

    /// <summary>What begins to look by itself, from time to time, so that something that stays wrong is seen too.</summary>
    public void Begin() => world.In(_look, null, () =>
    {
        LookAtAll();
        Begin();
    });

    public void Watch(Device device) => _device = device;

    /// <param name="driven">The level at the pin; null while nothing drives it.</param>
    public void LineIs(string pin, Level? driven, long instant)
    {
        var line = _lines[pin];
        var on = driven == line.Active;
        if (on == _onSince.ContainsKey(pin))
            return;
        if (on)
        {
            world.Trace.Add(string.Create(CultureInfo.InvariantCulture, $"{instant} ps {pin} on"));
            foreach (var (first, second) in board.KeptApart.Where(pair => pair.First == line || pair.Second == line))
                Demand(!_onSince.ContainsKey((first == line ? second : first).AdapterPin), $"{first.Name} and {second.Name}, kept apart, are on together");
            if (_offSince.TryGetValue(pin, out var off))
                Demand(Seconds(instant - off) >= (line.Rest.ToSeconds() * (1 - Clock)) - StepLateSeconds, $"{line.Name} had {Seconds(instant - off)} s of rest, not {line.Rest}");
            _onSince[pin] = instant;
        }
        else
        {
            world.Trace.Add(string.Create(CultureInfo.InvariantCulture, $"{instant} ps {pin} off"));
            DemandNotTooLong(line, instant);
            _onSince.Remove(pin);
            _offSince[pin] = instant;
        }
    }

    /// <summary>Bytes of a living host have come to the device.</summary>
    public void HostSpoke() => _lastSign = world.Now;

    public void BurstBegins(Device device, uint session, uint nonce, uint run, byte[] program, ImmutableArray<string> pins)
    {
        world.Tell($"run {run} begins: {string.Join(' ', pins)}");
        var last = _lastRuns.GetValueOrDefault((device, session));
        Demand(run > last, $"run {run} of session {session} is executed after run {last}");
        _lastRuns[(device, session)] = run;
        Demand(_programs.Add((device, session, nonce, Convert.ToHexString(program))), $"run {run} executes a program that was executed in this arming before");
        if (_arming != (device, session, nonce))
        {
            _bursts.Clear();
            _arming = (device, session, nonce);
        }
        _bursts.Add((pins, null));
    }

    public void BurstEnds(Capture capture)
    {
        world.Tell($"the run ends: {capture.Ending.Outcome}");
        _lastSign = world.Now;
        _bursts[^1] = (_bursts[^1].Pins, capture);
    }

    public void DeviceStopped() => LookAtAll();

    /// <summary>A cycle is in the store.</summary>
    public void Committed(CycleRecord cycle)
    {
        foreach (var channel in board.Channels)
        {
            if (cycle.Channels.First(found => found.Channel == channel.Name).Condition != Condition.Working)
                continue;
            var own = _bursts.FindAll(burst => burst.Pins.Contains(channel.Line.AdapterPin));
            Demand(own.Count > 0, $"cycle {cycle.Number}: {channel.Name} works, and was never exercised");
            foreach (var (_, capture) in own)
            {
                Demand(capture is not null && IsWhole(channel, capture), $"cycle {cycle.Number}: {channel.Name} works, and an exercise of it was cut");
                Demand(!capture!.Gaps.Any(gap => gap.IsUnplanned), $"cycle {cycle.Number}: {channel.Name} works, and was not looked at all the time");
            }
        }
        _bursts.Clear();
    }

    public void Acknowledged(CycleRecord cycle) => Demand(_acknowledged.TryAdd(cycle.Number, cycle), $"cycle {cycle.Number} is acknowledged twice");

    /// <summary>The program was told that it failed, or was told nothing, and the cycle is in the store.</summary>
    public void PerhapsCommitted() => _committedUnheard++;

    public void AnswerIsUnderWay() => _answers++;

    public void AnswerHasCome() => _answers--;

    /// <summary>Whatever it waited for never comes.</summary>
    public void ProcessKilled()
    {
        _committedUnheard += _answers;
        _answers = 0;
    }

    public void Holds(SoakResult result, IReadOnlyList<CycleRecord> stored)
    {
        // A store that failed may have stored the last cycle without anybody being told.
        if (result.Ending.Outcome == SoakOutcome.StoreFailed && stored.Count == result.Tally.Cycles + 1)
            stored = [.. stored.SkipLast(1)];
        Demand(result.Tally.Cycles == stored.Count, $"the result counts {result.Tally.Cycles} cycles, and the store has {stored.Count}");
        Demand(result.Tally.FailingCycles == stored.Count(cycle => cycle.Failed), $"the result counts {result.Tally.FailingCycles} failing cycles, and the store has {stored.Count(cycle => cycle.Failed)}");
        foreach (var channel in result.Tally.Channels)
        {
            var found = stored.SelectMany(cycle => cycle.Channels).Where(entry => entry.Channel == channel.Channel).ToList();
            Demand(channel.Failures == found.Count(entry => entry.Failed), $"the result counts {channel.Failures} failures of {channel.Channel}");
            Demand(channel.NotTested == found.Count(entry => entry.Condition == Condition.NotTested), $"the result counts {channel.NotTested} cycles in which {channel.Channel} was not tested");
        }
    }

    public void HoldsAtTheEnd(IReadOnlyList<CycleRecord> stored)
    {
        for (var index = 0; index < stored.Count; index++)
            Demand(stored[index].Number == index + 1, $"cycle {stored[index].Number} is stored as number {index + 1}");
        foreach (var (number, acknowledged) in _acknowledged)
        {
            Demand(number <= stored.Count, $"cycle {number} was acknowledged, and is not in the store");
            var found = stored[(int)number - 1];
            Demand(found.Channels.SequenceEqual(acknowledged.Channels), $"cycle {number} has other channels in the store than were measured: {string.Join("; ", found.Channels.Except(acknowledged.Channels))}, and not {string.Join("; ", acknowledged.Channels.Except(found.Channels))}");
            Demand(found.Outcome == acknowledged.Outcome, $"cycle {number} ended otherwise than the store has it");
            Demand(found.Figures.ToHashSet().SetEquals(acknowledged.Figures), $"cycle {number} has other figures in the store than were measured: {string.Join("; ", found.Figures.Except(acknowledged.Figures))}, and not {string.Join("; ", acknowledged.Figures.Except(found.Figures))}");
        }
        Demand(stored.Count - _acknowledged.Count <= _committedUnheard, $"{stored.Count} cycles are stored, {_acknowledged.Count} were acknowledged, and {_committedUnheard} may have been stored unheard");
        Demand(_onSince.Count == 0, $"at the end {string.Join(", ", _onSince.Keys)} is on");
        Demand(_device?.IsArmed != true, "at the end the device is armed");
    }

    private void LookAtAll()
    {
        foreach (var pin in _onSince.Keys)
            DemandNotTooLong(_lines[pin], world.Now);
        if (_device is { InBurst: false, IsArmed: true } device)
            Demand(world.Now - _lastSign <= World.Picoseconds((device.Heartbeat * (1 + Clock)) + _disarmBound), "the device is armed, and its host is silent for longer than its heartbeat limit");
    }

    private void DemandNotTooLong(Line line, long instant)
    {
        var on = Seconds(instant - _onSince[line.AdapterPin]);
        Demand(on <= (line.LongestOn.ToSeconds() * (1 + Clock)) + StepLateSeconds, $"{line.Name} is on for {on} s, longer than {line.LongestOn}");
    }

    /// <summary>An axis may come to the end of its travel.</summary>
    private bool IsWhole(Channel channel, Capture capture) => capture.Ending.Outcome == CaptureOutcome.Complete
        || (capture.Ending.Outcome == CaptureOutcome.StopInput
            && board.Stops.Any(stop => stop.Point.AdapterPin == capture.Ending.StoppedBy && stop.IsLimit && stop.Lines.Contains(channel.Line)));

    private void Demand(bool holds, string otherwise)
    {
        Checks++;
        if (!holds)
            throw new BrokenInvariantException(otherwise);
    }

    private static double Seconds(long picoseconds) => picoseconds / 1e12;
}
