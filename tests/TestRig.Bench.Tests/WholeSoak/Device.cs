using System.Buffers.Binary;
using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Simulation;
using TestRig.Core.Link;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>
/// An adapter: the real firmware, its clock, and its hands on the board. What the firmware asks of its hardware takes the time that it takes; meanwhile bytes from the host wait, or end a burst.
/// </summary>
internal sealed class Device : IDisposable
{
    private const int ProgramStepBytes = 10;

    private static readonly TimeSpan _loop = TimeSpan.FromMilliseconds(20);

    /// <summary>10 bits at 500 000 Bd.</summary>
    public const long ByteTakes = 20_000_000;

    private readonly World _world;
    private readonly BenchBoard _bench;
    private readonly Checker _checker;
    private readonly DeviceFault _fault;
    private readonly Random _random;
    private readonly nint _firmware;
    private readonly double _clock;
    private readonly uint[] _arguments = new uint[FirmwareLibrary.Arguments];
    private readonly byte[] _sent = new byte[4096];
    private readonly Random _jitter;
    private readonly Action<byte[]> _send;
    private uint _boots;
    private long _timerStart;
    private long _sentUntil;
    private bool _hasPower;
    private bool _runs;
    private FirmwareRequest _request;
    private World.Planned? _nextTick;
    private Action? _burstUpToNow;
    private bool _byteInBurst;
    private bool _runsAgain;
    private int _life;

    /// <param name="name">Null for the firmware's own.</param>
    /// <param name="send">Where its bytes to the host go.</param>
    public Device(World world, BenchBoard bench, Checker checker, string? name, DeviceFault fault, int seed, Action<byte[]> send)
    {
        (_world, _bench, _checker, _fault, _send) = (world, bench, checker, fault, send);
        _random = new Random(seed);
        _jitter = new Random(seed + 1);
        // Within four fifths of what the firmware states of its resonator.
        _clock = (_random.NextDouble() - 0.5) * 2 * 0.8 * AdapterFigures.Reference.ClockTolerance;
        _firmware = FirmwareLibrary.New(name);
    }

    public bool IsArmed => _runs && FirmwareLibrary.Armed(_firmware) != 0;

    public TimeSpan Heartbeat => TimeSpan.FromMilliseconds(FirmwareLibrary.HeartbeatMilliseconds(_firmware));

    public bool InBurst => _burstUpToNow is not null;

    private double TickPicoseconds => AdapterFigures.Reference.Tick.Picoseconds * (1 + _clock);

    public void Dispose() => FirmwareLibrary.Free(_firmware);

    /// <summary>Has what it does come to the world's instant, before something happens to the board.</summary>
    public void CatchUp() => _burstUpToNow?.Invoke();

    public void PowerOn()
    {
        _hasPower = true;
        Start(ResetCauses.PowerOn, TimeSpan.FromMilliseconds(70));
    }

    public void PowerOff()
    {
        Stop();
        _hasPower = false;
    }

    /// <param name="startsAfter">What the boot loader takes.</param>
    public void Reset(ResetCauses cause, TimeSpan startsAfter)
    {
        if (!_hasPower)
            return;
        _world.Tell($"the device is reset: {cause}{(InBurst ? ", in a burst" : "")}");
        Stop();
        Start(cause, startsAfter);
    }

    /// <summary>Bytes from the host, off the wire.</summary>
    public void Receive(byte[] bytes)
    {
        if (!_runs)
            return;
        if (InBurst)
        {
            // They end it; the firmware throws them away with what it comes to.
            _byteInBurst = true;
            return;
        }
        FirmwareLibrary.Receive(_firmware, bytes, bytes.Length);
        if (_request == FirmwareRequest.Waits)
            GoOn([]);
    }

    private void Stop()
    {
        _burstUpToNow?.Invoke();
        _life++;
        _runs = false;
        _burstUpToNow = null;
        _nextTick?.CallOff();
        _bench.ReleaseAll();
        _bench.Select([]);
        _checker.DeviceStopped();
    }

    private void Start(ResetCauses cause, TimeSpan after) => Later(_world.Now + World.Picoseconds(after), () =>
    {
        FirmwareLibrary.Reset(_firmware, ++_boots, (byte)cause, (uint)_random.Next());
        (_runs, _timerStart, _sentUntil) = (true, _world.Now, _world.Now);
        GoOn([]);
    });

    /// <summary>Unless it is reset until then.</summary>
    private void Later(long instant, Action work)
    {
        var life = _life;
        _world.At(instant, null, () =>
        {
            if (life == _life)
                work();
        });
    }

    private uint Ticks => unchecked((uint)(long)((_world.Now - _timerStart) / TickPicoseconds));

    private long Lasts(long ticks) => (long)(ticks * TickPicoseconds);

    /// <summary>Goes on with an answer, until the firmware wants what takes time.</summary>
    private void GoOn(byte[] answer)
    {
        while (true)
        {
            _request = FirmwareLibrary.GoOn(_firmware, Ticks, answer, answer.Length, _arguments);
            Transmit();
            switch (_request)
            {
                case FirmwareRequest.Waits:
                    PlanTick();
                    return;
                case FirmwareRequest.SendsAll:
                    Later(_sentUntil, () => GoOn([]));
                    return;
                case FirmwareRequest.Snapshot:
                    _bench.GoOnTo(_world.Now);
                    answer = _bench.Snapshot();
                    continue;
                case FirmwareRequest.DrivesIdle:
                    foreach (var pin in FirmwarePins.Of(_arguments[0]))
                        _bench.Drive(pin, (_arguments[1] >> FirmwarePins.NumberOf(pin) & 1) == 1 ? Level.High : Level.Low);
                    answer = [];
                    continue;
                case FirmwareRequest.Selects:
                    _bench.Select(FirmwarePins.Of(_arguments[1]));
                    answer = [];
                    continue;
                case FirmwareRequest.Releases:
                    _bench.ReleaseAll();
                    answer = [];
                    continue;
                case FirmwareRequest.Level:
                    Convert(FirmwarePins.Analog[(int)_arguments[0]], (int)_arguments[1]);
                    return;
                case FirmwareRequest.Lead:
                    CheckLead(FirmwarePins.All[(int)_arguments[0]].Name);
                    return;
                case FirmwareRequest.Burst:
                    Burst();
                    return;
                default:
                    throw new InvalidOperationException($"the firmware asks for {_request}");
            }
        }
    }

    private void Transmit()
    {
        var count = FirmwareLibrary.TakeSent(_firmware, _sent, _sent.Length);
        if (count == 0)
            return;
        var bytes = _sent[..count];
        _sentUntil = Math.Max(_sentUntil, _world.Now) + (count * ByteTakes);
        Later(_sentUntil, () => _send(bytes));
    }

    /// <summary>Nothing but its heartbeat changes while no byte comes, so the loop need not be gone round more often.</summary>
    private void PlanTick()
    {
        _nextTick?.CallOff();
        if (_fault == DeviceFault.ForgetsHeartbeat)
            return;
        var life = _life;
        _nextTick = _world.In(IsArmed ? _loop : TimeSpan.FromMilliseconds(500), null, () =>
        {
            if (life == _life && _request == FirmwareRequest.Waits)
                GoOn([]);
        });
    }

    private void Convert(string pin, int samples)
    {
        var from = _world.Now;
        var each = Lasts(AdapterFigures.Reference.Converts + AdapterFigures.Reference.ConverterWait);
        Later(from + (each * samples), () =>
        {
            var counts = new List<int>();
            for (var sample = 0; sample < samples; sample++)
            {
                _bench.GoOnTo(from + (each * sample));
                counts.Add(_bench.Board.Senses.ContainsKey(pin) ? _bench.Converter.Convert(_bench.Pins.VoltsAt(pin)) : 0);
            }
            GoOn(FirmwareRecords.Entry(pin, counts));
        });
    }

    /// <summary>As long as the firmware's own figures say.</summary>
    private void CheckLead(string pin)
    {
        var from = _world.Now;
        long[] ends = [from + Lasts(800), from + Lasts(800 + 3200), from + Lasts(800 + 3200 + 4800)];
        Later(ends[^1], () =>
        {
            if (!_bench.Board.Senses.TryGetValue(pin, out var lead))
            {
                // Nothing is clipped there: it follows.
                GoOn([0, 1]);
                return;
            }
            _bench.GoOnTo(from);
            lead.Discharge();
            _bench.GoOnTo(ends[0]);
            lead.Release();
            _bench.GoOnTo(ends[1]);
            var afterDischarge = lead.Level;
            lead.PullUp();
            _bench.GoOnTo(ends[2]);
            var afterPullUp = lead.Level;
            lead.Release();
            GoOn([(byte)(afterDischarge == Level.High ? 1 : 0), (byte)(afterPullUp == Level.High ? 1 : 0)]);
        });
    }

    private void Burst()
    {
        var steps = new byte[48 * ProgramStepBytes];
        var count = FirmwareLibrary.Program(_firmware, steps, steps.Length);
        Array.Resize(ref steps, count * ProgramStepBytes);
        _checker.BurstBegins(this, FirmwareLibrary.Session(_firmware), FirmwareLibrary.Nonce(_firmware), FirmwareLibrary.Run(_firmware), steps, FirmwarePins.Of(_arguments[0]));
        _bench.GoOnTo(_world.Now);
        var start = _world.Now;
        _byteInBurst = false;
        var burst = new Burst(AdapterFigures.Reference, _bench.Pins, _bench.Converter, Limits(), ProgramOf(steps), _clock, _jitter) { HasHostByte = () => _byteInBurst };
        var going = burst.Go().GetEnumerator();
        var ended = !going.MoveNext();
        _burstUpToNow = () =>
        {
            while (!ended && going.Current <= _bench.OnBoard(_world.Now))
                ended = !going.MoveNext();
        };
        GoOnWithBurst(() => ended, () => going.Current, burst, start);
    }

    private void GoOnWithBurst(Func<bool> hasEnded, Func<long> next, Burst burst, long start)
    {
        _burstUpToNow!();
        if (hasEnded())
        {
            EndBurst(burst, start);
            return;
        }
        // To the next housekeeping at the latest, when the firmware looks for a byte too; what comes earlier is seen then.
        var ahead = Math.Max(next() - _bench.OnBoard(_world.Now), Lasts(AdapterFigures.Reference.HousekeepingPeriod));
        Later(_world.Now + ahead, () => GoOnWithBurst(hasEnded, next, burst, start));
    }

    private void EndBurst(Burst burst, long start)
    {
        var records = new FirmwareRecords(burst.Capture);
        _burstUpToNow = null;
        if (_fault == DeviceFault.RunsTwice && !_runsAgain)
        {
            _runsAgain = true;
            Burst();
            return;
        }
        _runsAgain = false;
        if (_fault == DeviceFault.LeavesLineOn)
            _bench.Drive(burst.OffAt.Keys.First(), Limits().Lines.First(line => line.Pin == burst.OffAt.Keys.First()).Idle.Inverted());
        _checker.BurstEnds(burst.Capture);
        FirmwareLibrary.PutCapture(
            _firmware, (byte)records.Outcome, records.StoppedBy, records.End, records.Changes, records.ChangeCount, records.Levels, records.LevelCount, records.Gaps, records.GapCount, _bench.Snapshot());
        _timerStart = start;
        GoOn([]);
    }

    private static StimulusProgram ProgramOf(byte[] steps)
    {
        var tick = AdapterFigures.Reference.Tick;
        var made = ImmutableArray.CreateBuilder<StimulusStep>();
        var length = Duration.Zero;
        foreach (var step in steps.Chunk(ProgramStepBytes))
        {
            var (at, mask) = (tick * BinaryPrimitives.ReadUInt32LittleEndian(step), BinaryPrimitives.ReadUInt32LittleEndian(step.AsSpan(5)));
            switch ((StepAction)step[4])
            {
                case StepAction.Lines:
                    made.Add(new LinesStep(at, FirmwarePins.Of(mask)));
                    break;
                case StepAction.Measure:
                    made.Add(new MeasureStep(at, [.. Enumerable.Range(0, FirmwarePins.Analog.Length).Where(index => (mask >> index & 1) == 1).Select(index => FirmwarePins.Analog[index])], step[9]));
                    break;
                default:
                    length = at;
                    break;
            }
        }
        return new(made.ToImmutable(), length);
    }

    /// <summary>As the firmware holds them.</summary>
    private AdapterLimits Limits()
    {
        var tick = AdapterFigures.Reference.Tick;
        var (lines, stops) = (new uint[32 * FirmwareLibrary.LineWords], new uint[32 * FirmwareLibrary.StopWords]);
        FirmwareLibrary.Limits(_firmware, lines, stops, out var lineCount, out var stopCount);
        return new(
            [.. lines.Chunk(FirmwareLibrary.LineWords).Take(lineCount).Select(line => new LineLimit(
                FirmwarePins.All[(int)line[0]].Name, line[1] == 1 ? Level.High : Level.Low, tick * line[2], tick * line[3], FirmwarePins.Of(line[4])))],
            [.. stops.Chunk(FirmwareLibrary.StopWords).Take(stopCount).Select(stop => new StopLimit(
                FirmwarePins.All[(int)stop[0]].Name, stop[1] == 1 ? Level.High : Level.Low, FirmwarePins.Of(stop[2])))],
            [],
            Duration.FromMilliseconds((long)Heartbeat.TotalMilliseconds));
    }
}
