using System.Collections.Immutable;
using System.IO.Ports;
using System.Numerics;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Link;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// An adapter with our own firmware behind a serial port. Calls are served one after the other. While it is armed its heartbeat is
/// fed in the background, except during a run, when the device needs none.
/// </summary>
public sealed class SerialAdapter : IAdapter
{
    /// <summary>The device must answer within 50 ms, so it is not asked for more conversions or discharges at a time than fit well into that.</summary>
    private static readonly Duration LongestReading = Duration.FromMilliseconds(40);

    /// <summary>Opening resets a board once; a board that restarts more often than this while it is asked who it is never stays up.</summary>
    private const int MostResets = 4;

    /// <summary>Times that a run waits for a line's rest before it gives up: the device's own count of the rest should be right at once.</summary>
    private const int MostRests = 20;

    private readonly LinkSession link;
    private readonly TimeProvider time;
    private readonly Identification device;
    private readonly PinMap pins;
    private readonly DeviceScales scales;
    private readonly SemaphoreSlim call = new(1, 1);
    private readonly DeviceStatus opened;
    private readonly long damagedWhileOpening;
    private DeviceStatus? released;
    private uint lastRun;
    private uint? nonce;
    private uint selects;
    private uint selected;
    private bool holdsLimits;
    private bool disposed;

    private SerialAdapter(LinkSession link, Identification device, PinMap pins, DeviceStatus opened, TimeProvider time)
    {
        this.link = link;
        this.time = time;
        this.device = device;
        this.pins = pins;
        scales = new(device);
        this.opened = opened;
        lastRun = opened.LastRun;
        damagedWhileOpening = link.FramesDamaged;
        Pins = pins.Described;
        Identity = new(
            Kind: "serial",
            Place: link.PortName,
            device.Board,
            Firmware: $"{device.Version.FirmwareMajor}.{device.Version.FirmwareMinor}",
            scales.Tick,
            scales.Resolution,
            scales.ClockTolerance,
            StopBound: scales.Time(device.StopBound),
            LongestProgram: Duration.FromMilliseconds(device.MaximumBurstMilliseconds),
            SampleTime: scales.Time(device.SampleTicks),
            // The boards that our firmware runs on are supplied with 5 V.
            PinVoltage.FiveVoltMaximum)
        {
            Look = scales.Tick * scales.Looks.Look,
        };
    }

    public AdapterIdentity Identity { get; }

    public ImmutableArray<AdapterPin> Pins { get; }

    /// <summary>Frames that arrived damaged since the port was opened. They were thrown away and asked for again.</summary>
    public long FramesDamaged => link.FramesDamaged;

    /// <summary>
    /// Since the port was opened: what a board says while it starts, or a frame that was under way, is no disturbance. The adapter's own counts are those of the last
    /// <see cref="ReleaseAsync"/>; they are unknown before it.
    /// </summary>
    public LinkHealth? Link => new(
        link.FramesDamaged - damagedWhileOpening,
        released is { } frames ? (long)frames.FramesThrownAway - opened.FramesThrownAway : null,
        released is { } bytes ? (long)bytes.ReceiveOverruns - opened.ReceiveOverruns : null,
        link.Repeats);

    /// <summary>Names of the serial ports of this computer, whatever is behind them.</summary>
    public static ImmutableArray<string> PortNames() => [.. SerialPort.GetPortNames().Distinct().Order(StringComparer.Ordinal)];

    /// <summary>
    /// Opens a port and asks who is there, again and again for some 5 s, because opening may reset the board. Nothing is driven.
    /// </summary>
    /// <exception cref="AdapterException">No such port, busy, not permitted, not an adapter of ours, or of another protocol version.</exception>
    public static async Task<SerialAdapter> OpenAsync(string portName, CancellationToken cancellation)
    {
        // Opening a port may block on a device that is slow to appear.
        var port = await Task.Run(() => SerialLinkPort.Open(portName, SerialLinkPort.OwnBaudRate), cancellation);
        return await OpenAsync(port, LinkPatience.Default, TimeProvider.System, cancellation);
    }

    /// <summary>The same over any stream of bytes. Takes over the port, also when it throws.</summary>
    internal static async Task<SerialAdapter> OpenAsync(ILinkPort port, LinkPatience patience, TimeProvider time, CancellationToken cancellation)
    {
        var link = new LinkSession(port, patience, time);
        try
        {
            for (var round = 0; round < MostResets; round++)
            {
                var device = await IdentifyAsync(link, cancellation);
                var pins = await ReadPinsAsync(link, device, cancellation);
                var status = Parsed(link, RequestType.Status, await link.ExchangeAsync(LinkRequest.Status, cancellation), DeviceStatus.Parse);
                // The answers may straddle the reset that opening caused. Then they belong to two sessions, and all is asked again.
                if ((await IdentifyAsync(link, cancellation)).Session != device.Session)
                    continue;
                link.HoldTo(device.Session);
                return new(link, device, pins, status, time);
            }
            throw new AdapterException(
                AdapterFault.Restarted,
                $"The adapter on {port.Name} restarts again and again. Check its supply and its reset line, and unplug what is wired to it to see whether it then stays up.");
        }
        catch
        {
            await link.DisposeAsync();
            throw;
        }
    }

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => CallAsync(async () =>
    {
        if (!limits.Selects.IsEmpty)
            DemandSelects();
        var table = TableOf(limits);
        await ReleaseInCallAsync(cancellation);
        holdsLimits = true;
        var refusals = new RefusalText(pins, scales, []);
        foreach (var line in table.Lines)
            await DemandAsync(LinkRequest.Line(line), $"the limits of line {pins.Name(line.Pin)}", refusals, cancellation);
        foreach (var stop in table.Stops)
            await DemandAsync(LinkRequest.Stop(stop), $"stop input {pins.Name(stop.Pin)}", refusals, cancellation);
        await DemandAsync(LinkRequest.Heartbeat(table.HeartbeatMilliseconds), $"a heartbeat limit of {limits.Heartbeat}", refusals, cancellation);
        if (table.Selects != 0)
            await DemandAsync(LinkRequest.Selects(table.Selects), $"select pins {string.Join(", ", limits.Selects)}", refusals, cancellation);
        var armed = await DemandAsync(LinkRequest.Arm(table.Digest()), "to arm", refusals, cancellation);
        nonce = Parsed(link, RequestType.Arm, armed, ArmedReply.Parse).Nonce;
        (selects, selected) = (table.Selects, 0);
        await link.KeepAliveAsync(TimeSpan.FromMilliseconds(table.HeartbeatMilliseconds));
        return true;
    }, cancellation);

    public Task ReleaseAsync(CancellationToken cancellation) => CallAsync(async () =>
    {
        await ReleaseInCallAsync(cancellation);
        // A restart whose notice was lost is told here at the latest: its counts would be another session's, and so would what was read last.
        await link.CheckSessionAsync(cancellation);
        var counts = await DemandAsync(LinkRequest.Status, "to tell its counts", new(pins, scales, []), cancellation);
        released = Parsed(link, RequestType.Status, counts, DeviceStatus.Parse);
        return true;
    }, cancellation);

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => CallAsync(async () =>
    {
        var held = Nonce();
        if (high.FirstOrDefault(pin => (pins.SelectMask([pin]) & selects) == 0) is { } wrong)
            throw new AdapterException(AdapterFault.Refused, $"Pin {wrong} was not armed as a select pin. Name it among the select pins of a multiplexer in the profile.");
        var mask = pins.SelectMask(high);
        await DemandAsync(LinkRequest.Select(held, mask), $"to select {(high.IsEmpty ? "input 0" : string.Join(", ", high))}", new(pins, scales, []), cancellation);
        selected = mask;
        return true;
    }, cancellation);

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => CallAsync(async () =>
    {
        var reply = await DemandAsync(LinkRequest.Inputs, "to read its inputs", new(pins, scales, []), cancellation);
        var snapshot = Parsed(link, RequestType.Inputs, reply, InputsReading.Parse).Snapshot;
        return snapshot.Length == device.SnapshotBytes
            ? pins.Numbers.ToImmutableDictionary(pins.Name, number => PinMap.LevelOf(snapshot, number))
            : throw link.BrokenAnswer(RequestType.Inputs, $"a snapshot of {snapshot.Length} bytes, not {device.SnapshotBytes}");
    }, cancellation);

    /// <inheritdoc/>
    /// <remarks>The readings carry <see cref="Instant.Start"/>: they belong to no capture.</remarks>
    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) =>
        CallAsync(async () =>
        {
            var readings = new Dictionary<string, LevelReading>(StringComparer.Ordinal);
            foreach (var some in pins.Distinct().Chunk(FittingIn(Identity.SampleTime * samples)))
            {
                var mask = this.pins.AnalogMask([.. some]);
                var reply = await DemandAsync(LinkRequest.Levels(mask, samples), "to read voltages", new(this.pins, scales, []), cancellation);
                var entries = Parsed(link, RequestType.Levels, reply, RecordLists.ParseLevels).Items;
                if (entries.Any(entry => entry.Samples != samples) || !entries.Select(entry => (int)entry.AnalogIndex).SequenceEqual(BitsOf(mask)))
                    throw link.BrokenAnswer(RequestType.Levels, "readings of other pins, or of other numbers of samples, than were asked for");
                foreach (var entry in entries)
                {
                    var name = this.pins.AnalogName(entry.AnalogIndex);
                    readings.Add(name, scales.Reading(name, Instant.Start, entry));
                }
            }
            return pins.Select(pin => readings[pin]).ToImmutableArray();
        }, cancellation);

    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) =>
        CallAsync(async () =>
        {
            var held = Nonce();
            var one = scales.Time((uint)device.DischargeTicks + device.ReleaseTicks + device.PullUpTicks);
            var readings = ImmutableArray.CreateBuilder<LeadReading>(pins.Length);
            foreach (var some in pins.Chunk(Math.Min(FittingIn(one), LinkRequest.PinsPerLeads)))
            {
                ImmutableArray<byte> numbers = [.. some.Select(pin => this.pins.Number(pin, PinCapabilities.Sense))];
                var reply = await DemandAsync(
                    LinkRequest.Leads(held, numbers), $"to check the leads of {string.Join(", ", some)}", new(this.pins, scales, []), cancellation);
                var entries = Parsed(link, RequestType.Leads, reply, RecordLists.ParseLeads).Items;
                if (!entries.Select(entry => entry.Pin).SequenceEqual(numbers))
                    throw link.BrokenAnswer(RequestType.Leads, "readings of other pins than were asked for");
                readings.AddRange(entries.Select(entry => new LeadReading(
                    this.pins.Name(entry.Pin), entry.AfterDischarge ? Level.High : Level.Low, entry.AfterPullUp ? Level.High : Level.Low)));
            }
            return readings.MoveToImmutable();
        }, cancellation);

    public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => CallAsync(async () =>
    {
        var held = Nonce();
        var steps = StepsOf(program);
        var refusals = new RefusalText(pins, scales, steps);
        for (var first = 0; first < steps.Length; first += LinkRequest.StepsPerLoad)
        {
            var some = steps.Slice(first, Math.Min(LinkRequest.StepsPerLoad, steps.Length - first));
            await DemandAsync(LinkRequest.Load(held, (byte)first, some), "to load the program", refusals, cancellation);
        }
        if (program.Fine is { } fine)
            await DemandAsync(LinkRequest.Fine(held, pins.Number(fine.Pin, fine.Edge is null ? PinCapabilities.Fine : PinCapabilities.Crossing), fine.Level == Level.High), $"to stamp the change of pin {fine.Pin}", refusals, cancellation);
        var (end, elapsed) = await BurstAsync(held, steps, refusals, program.Length, cancellation);
        // From here on nothing moves, and what was captured is wanted, cancelled or not.
        var records = await FetchAsync(end, steps, refusals);
        if (records.Contradiction(device.SnapshotBytes, pins.AnalogCount) is { } contradiction)
            throw link.BrokenAnswer(RequestType.Changes, contradiction);
        return records.StraySelect(pins, selects, selected) is { } stray
            ? throw new AdapterException(
                AdapterFault.BrokenAnswer,
                $"The adapter's pin {pins.Name(stray)}, which selects the input of a multiplexer, was not at its level during the run: another input than the wanted one was "
                + "read, and nothing of it is used. See that nothing but multiplexers is wired to that pin, and that it is not shorted.")
            : await WithFineAsync(new(records.ToCapture(pins, scales), elapsed), program.Fine, end.Run, refusals);
    }, cancellation);

    /// <summary>Releases the lines when the link still works; otherwise the device does so by itself when its heartbeat ends.</summary>
    public async ValueTask DisposeAsync()
    {
        if (disposed)
            return;
        disposed = true;
        await call.WaitAsync();
        try
        {
            if (holdsLimits)
                await ReleaseInCallAsync(CancellationToken.None);
        }
        catch (AdapterException)
        {
            // The link is gone. Disposing is the way out after such a failure, which was told to whoever met it; the device turns its lines idle.
        }
        finally
        {
            await link.DisposeAsync();
            call.Dispose();
        }
    }

    private async Task<(BurstEnd End, TimeSpan Elapsed)> BurstAsync(
        uint held, ImmutableArray<ProgramStep> steps, RefusalText refusals, Duration length, CancellationToken cancellation)
    {
        var run = NextRun();
        var request = LinkRequest.Run(held, run, (byte)steps.Length, ProgramStep.Digest(steps));
        for (var rests = 0; ; rests++)
        {
            var asked = time.GetTimestamp();
            var answer = await link.BurstAsync(request, run, ToTimeSpan(length), cancellation);
            if (answer.End is { } end)
                return (end, time.GetElapsedTime(asked));
            var refusal = answer.Refusal!;
            if (refusal.Result != ReplyResult.Resting || rests == MostRests)
                throw await RefusalAsync("to run the program", refusal, refusals, cancellation);
            var resting = Parsed(link, RequestType.Run, refusal, Resting.Parse);
            await Task.Delay(ToTimeSpan(scales.Time(resting.Ticks)) + TimeSpan.FromMilliseconds(1), time, cancellation);
        }
    }

    private async Task<BurstRun> WithFineAsync(BurstRun run, FinePoint? asked, uint number, RefusalText refusals)
    {
        if (asked is null)
            return run;
        var reply = await DemandAsync(LinkRequest.FineRecord(number), "to hand over what its hardware stamped", refusals, CancellationToken.None);
        var record = Parsed(link, RequestType.FineRecord, reply, FineRecord.Parse);
        return pins.Name(record.Pin) == asked.Pin && record.High == (asked.Level == Level.High)
            ? run with { Fine = FineStamps.Of(record, asked.Pin, run.Capture, scales.Tick, asked.Edge) }
            : throw link.BrokenAnswer(RequestType.FineRecord, "a stamp of another pin or level than was asked for");
    }

    private async Task<BurstRecords> FetchAsync(BurstEnd end, ImmutableArray<ProgramStep> steps, RefusalText refusals)
    {
        var perReply = RecordLists.ChangesPerReply(device.SnapshotBytes);
        var changes = await FetchAsync(
            end.Changes, perReply, (first, count) => LinkRequest.Changes(end.Run, (ushort)first, (byte)count),
            body => RecordLists.ParseChanges(body, device.SnapshotBytes), refusals);
        var levels = await FetchAsync(
            end.Levels, RecordLists.LevelsPerReply, (first, count) => LinkRequest.LevelRecords(end.Run, (byte)first, (byte)count),
            RecordLists.ParseLevelRecords, refusals);
        var gaps = await FetchAsync(
            end.Gaps, RecordLists.GapsPerReply, (first, count) => LinkRequest.Gaps(end.Run, (byte)first, (byte)count),
            RecordLists.ParseGaps, refusals);
        return new(end, steps, changes, levels, gaps);
    }

    private async Task<ImmutableArray<T>> FetchAsync<T>(
        int total, int most, Func<int, int, LinkRequest> request, ParseBody<Entries<T>> parse, RefusalText refusals)
    {
        var fetched = ImmutableArray.CreateBuilder<T>(total);
        while (fetched.Count < total)
        {
            var asked = request(fetched.Count, Math.Min(most, total - fetched.Count));
            var reply = await DemandAsync(asked, $"to hand over {asked.Type}", refusals, CancellationToken.None);
            var some = Parsed(link, asked.Type, reply, parse).Items;
            if (some.IsEmpty || fetched.Count + some.Length > total)
                throw link.BrokenAnswer(asked.Type, $"{some.Length} records after {fetched.Count} of {total}");
            fetched.AddRange(some);
        }
        return fetched.MoveToImmutable();
    }

    private async Task ReleaseInCallAsync(CancellationToken cancellation)
    {
        await link.StopKeepingAliveAsync();
        nonce = null;
        await DemandAsync(LinkRequest.ClearLimits, "to release its lines", new(pins, scales, []), cancellation);
        holdsLimits = false;
    }

    private async Task<T> CallAsync<T>(Func<Task<T>> body, CancellationToken cancellation)
    {
        ObjectDisposedException.ThrowIf(disposed, this);
        await call.WaitAsync(cancellation);
        try
        {
            return await body();
        }
        finally
        {
            call.Release();
        }
    }

    private async Task<LinkReply> DemandAsync(LinkRequest request, string meant, RefusalText refusals, CancellationToken cancellation)
    {
        var reply = await link.ExchangeAsync(request, cancellation);
        return reply.Result == ReplyResult.Ok ? reply : throw await RefusalAsync(meant, reply, refusals, cancellation);
    }

    /// <summary>A device that restarted unseen refuses too: then the restart is the fault to tell.</summary>
    private async Task<AdapterException> RefusalAsync(string meant, LinkReply reply, RefusalText refusals, CancellationToken cancellation)
    {
        if (reply.Result is ReplyResult.NotArmed or ReplyResult.WrongNonce or ReplyResult.NoSuchRun)
            await link.CheckSessionAsync(cancellation);
        return refusals.Explain(meant, reply);
    }

    /// <summary>Before anything is declared: an adapter that cannot switch multiplexers would read the wrong points.</summary>
    private void DemandSelects()
    {
        if (device.Version.Minor >= ProtocolVersion.MinorWithSelects)
            return;
        throw new AdapterException(
            AdapterFault.WrongVersion,
            $"The adapter on {link.PortName} cannot switch multiplexers: its firmware {Identity.Firmware} speaks version {device.Version.Major}.{device.Version.Minor} of the link protocol, and that "
            + $"needs {ProtocolVersion.SpokenMajor}.{ProtocolVersion.MinorWithSelects}. Nothing was driven. Load this version's firmware onto the adapter.");
    }

    private uint Nonce()
    {
        if (nonce is not { } held)
            throw new InvalidOperationException("The adapter is not armed: call ArmAsync first.");
        return link.DisarmedByItself
            ? throw new RefusalText(pins, scales, []).Explain("to go on", new LinkReply(ReplyResult.NotArmed, []))
            : held;
    }

    /// <summary>Numbers rise within a session of the device: it refuses any that is not above the last one.</summary>
    private uint NextRun()
    {
        if (lastRun == uint.MaxValue)
        {
            throw new AdapterException(
                AdapterFault.Refused,
                $"The adapter on {link.PortName} has no run number left, because another program used the highest one. Nothing was driven. Unplug it, plug it in and start again.");
        }
        return ++lastRun;
    }

    private LimitsTable TableOf(AdapterLimits limits)
    {
        var heartbeat = Math.Ceiling(limits.Heartbeat.ToSeconds() * 1e3);
        if (heartbeat is < 100 or > 60_000)
            throw new AdapterException(AdapterFault.Refused, $"A heartbeat limit of {limits.Heartbeat} is outside what the adapter allows: 100 ms to 60 s.");
        return new(
            [.. limits.Lines.Select(line => new LineDeclaration(
                pins.Number(line.Pin, PinCapabilities.Line),
                IdleHigh: line.Idle == Level.High,
                LongestOn: scales.RoundedDown(line.LongestOn),
                Rest: scales.RoundedUp(line.Rest),
                KeptApart: pins.LineMask(line.KeptApart)))],
            [.. limits.Stops.Select(stop => new StopDeclaration(
                pins.Number(stop.Pin, PinCapabilities.Stop), StopsHigh: stop.StopsAt == Level.High, pins.LineMask(stop.Lines)))],
            (uint)heartbeat,
            pins.SelectMask(limits.Selects));
    }

    private ImmutableArray<ProgramStep> StepsOf(StimulusProgram program)
    {
        if (program.Steps.Length + 1 > device.MaximumSteps)
        {
            throw new AdapterException(
                AdapterFault.Refused,
                $"The exercise has {program.Steps.Length} steps, and the adapter takes {device.MaximumSteps - 1}. Exercise fewer channels, or fewer repetitions, at a time.");
        }
        var steps = program.Steps.Select(step => step switch
        {
            LinesStep lines => new ProgramStep(scales.Nearest(lines.At), StepAction.Lines, pins.LineMask(lines.OnPins), 0),
            MeasureStep measure => new ProgramStep(
                scales.Nearest(measure.At), StepAction.Measure, pins.AnalogMask(measure.Pins), Samples(measure.Samples)),
            _ => throw new ArgumentException($"A step of type {step.GetType().Name} is unknown to a serial adapter.", nameof(program)),
        });
        return [.. steps, new ProgramStep(scales.Nearest(program.Length), StepAction.End, 0, 0)];
    }

    private static byte Samples(int samples) => samples is >= 1 and <= LinkRequest.MostSamples
        ? (byte)samples
        : throw new AdapterException(AdapterFault.Refused, $"{samples} samples cannot be read at a time: the adapter takes 1 to {LinkRequest.MostSamples}.");

    private static int FittingIn(Duration one) =>
        one <= Duration.Zero ? int.MaxValue : (int)Math.Clamp(LongestReading.Picoseconds / one.Picoseconds, 1, 32);

    private static IEnumerable<int> BitsOf(uint mask)
    {
        for (; mask != 0; mask &= mask - 1)
            yield return BitOperations.TrailingZeroCount(mask);
    }

    /// <summary>Rounds up: these are times to wait.</summary>
    private static TimeSpan ToTimeSpan(Duration duration) => TimeSpan.FromTicks((duration.Picoseconds + 99_999) / 100_000);

    private static async Task<Identification> IdentifyAsync(LinkSession link, CancellationToken cancellation)
    {
        var reply = await link.IdentifyAsync(cancellation);
        var version = reply.Result == ReplyResult.Ok ? ProtocolVersion.Parse(reply.Body.AsSpan()) : default;
        if (!version.Succeeded)
        {
            throw new AdapterException(
                AdapterFault.NotAnAdapter,
                $"What answers on {link.PortName} speaks our frames but does not identify itself as an adapter ({version.Problem ?? reply.Result.ToString()}). Check that it is the adapter's port.");
        }
        if (version.Value.Major != ProtocolVersion.SpokenMajor)
        {
            var (newer, remedy) = version.Value.Major > ProtocolVersion.SpokenMajor
                ? ("newer", "Use a newer version of this program, or load this version's firmware onto the adapter.")
                : ("older", "Load this version's firmware onto the adapter.");
            throw new AdapterException(
                AdapterFault.WrongVersion,
                $"The adapter on {link.PortName} speaks version {version.Value.Major}.{version.Value.Minor} of the link protocol (its firmware is {version.Value.FirmwareMajor}.{version.Value.FirmwareMinor}), which is {newer} "
                + $"than version {ProtocolVersion.SpokenMajor} of this program. {remedy}");
        }
        return Parsed(link, RequestType.Identify, reply, Identification.Parse);
    }

    private static async Task<PinMap> ReadPinsAsync(LinkSession link, Identification device, CancellationToken cancellation)
    {
        var described = ImmutableArray.CreateBuilder<PinDescription>(device.PinCount);
        while (described.Count < device.PinCount)
        {
            var page = Parsed(
                link, RequestType.Pins, await link.ExchangeAsync(LinkRequest.Pins((byte)described.Count), cancellation), PinsPage.Parse);
            if (page.Total != device.PinCount || page.First != described.Count || page.Pins.IsEmpty)
                throw link.BrokenAnswer(RequestType.Pins, $"{page.Pins.Length} pins from {page.First} on of {page.Total}, where {device.PinCount} pins were asked for from {described.Count} on");
            described.AddRange(page.Pins);
        }
        var (map, problem) = PinMap.Of(described.ToImmutable());
        return map ?? throw link.BrokenAnswer(RequestType.Pins, problem!);
    }

    private delegate Parsed<T> ParseBody<T>(ReadOnlySpan<byte> body)
        where T : class;

    private static T Parsed<T>(LinkSession link, RequestType request, LinkReply reply, ParseBody<T> parse)
        where T : class
    {
        // A refusal in place of an answer that cannot be refused, too, is an answer that cannot be.
        if (reply.Result != ReplyResult.Ok && !(request == RequestType.Run && reply.Result == ReplyResult.Resting))
            throw link.BrokenAnswer(request, $"it refuses it with {reply.Result}");
        var parsed = parse(reply.Body.AsSpan());
        return parsed.Value ?? throw link.BrokenAnswer(request, parsed.Problem!);
    }
}
