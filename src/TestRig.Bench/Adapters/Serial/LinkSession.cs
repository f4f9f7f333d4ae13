using System.Globalization;
using System.Text;
using TestRig.Core.Link;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// One conversation with a device over a port: one request outstanding, repeated under a new sequence number when it is not answered;
/// notices; the heartbeat. What comes is told to it by the port, on whatever thread. Once failed (unplugged, restarted) it stays failed, and every later call
/// says why. Every wait comes back in the context of whoever waits.
/// </summary>
internal sealed class LinkSession : ILinkReceiver, IAsyncDisposable
{
    /// <summary>Bytes kept to tell a person what talks on a port that is no adapter's.</summary>
    private const int KeptForDiagnosis = 24;

    private readonly ILinkPort port;
    private readonly LinkPatience patience;
    private readonly TimeProvider time;
    private readonly FrameDecoder decoder = new();
    private readonly List<byte> firstBytes = [];

    /// <summary>Held for one exchange, and for a whole burst: so nothing is ever sent into a burst by accident.</summary>
    private readonly TurnLock turn = new();

    private readonly Lock state = new();
    private readonly Lock writing = new();
    private PendingReply? pendingReply;
    private PendingEnd? pendingEnd;
    private Awaited? awaited;
    private AdapterException? failure;
    private uint? session;
    private byte sequence;
    private long bytesReceived;
    private long framesDamaged;
    private long repeats;
    private long lastAnswered;
    private volatile bool disarmedByItself;

    private TimeSpan heartbeat;
    private CancellationTokenSource? keepingAlive;
    private Task keepAlive = Task.CompletedTask;

    public LinkSession(ILinkPort port, LinkPatience patience, TimeProvider time)
    {
        this.port = port;
        this.patience = patience;
        this.time = time;
        port.Start(this);
    }

    public string PortName => port.Name;

    /// <summary>Frames that arrived damaged since the port was opened. They were thrown away.</summary>
    public long FramesDamaged => Interlocked.Read(ref framesDamaged);

    /// <summary>Requests that were sent again because no answer came; those that ask who is there while a board starts are not counted.</summary>
    public long Repeats => Interlocked.Read(ref repeats);

    /// <summary>The device told that it disarmed by itself since the last <see cref="KeepAliveAsync"/>.</summary>
    public bool DisarmedByItself => disarmedByItself;

    /// <summary>Repeats IDENTIFY until it is answered.</summary>
    /// <exception cref="AdapterException">Nothing answered, or nothing of ours.</exception>
    public async Task<LinkReply> IdentifyAsync(CancellationToken cancellation)
    {
        var started = time.GetTimestamp();
        while (time.GetElapsedTime(started) < patience.Identify)
        {
            if (await InTurnAsync(() => AttemptAsync(LinkRequest.Identify, patience.FirstReply, cancellation), cancellation) is { } reply)
                return reply;
        }
        throw NotIdentified();
    }

    /// <summary>From now on a start of the device, or another session, is a failure.</summary>
    public void HoldTo(uint knownSession)
    {
        lock (state)
            session = knownSession;
    }

    /// <summary>Sends a request until it is answered.</summary>
    /// <exception cref="AdapterException">Silent, unplugged or restarted.</exception>
    public Task<LinkReply> ExchangeAsync(LinkRequest request, CancellationToken cancellation) =>
        InTurnAsync(() => RepeatAsync(request, cancellation), cancellation);

    /// <summary>
    /// Starts a burst and waits for its end, silent all the while. When the reply is lost it keeps silent for the planned length, since a byte would end
    /// the burst; then it asks, and repeats the same run number only when the device has not run it.
    /// Cancelling ends the burst early.
    /// </summary>
    /// <returns>How the burst ended, or the device's refusal.</returns>
    /// <exception cref="OperationCanceledException">Cancelled before anything ran.</exception>
    public Task<BurstAnswer> BurstAsync(LinkRequest run, uint number, TimeSpan planned, CancellationToken cancellation) =>
        InTurnAsync(() => BurstInTurnAsync(run, number, planned, cancellation), cancellation);

    /// <summary>Feeds the device's heartbeat from now on whenever nothing else does.</summary>
    /// <param name="limit">After which the device would disarm.</param>
    public async Task KeepAliveAsync(TimeSpan limit)
    {
        await StopKeepingAliveAsync();
        disarmedByItself = false;
        heartbeat = limit;
        Interlocked.Exchange(ref lastAnswered, time.GetTimestamp());
        keepingAlive = new CancellationTokenSource();
        keepAlive = FeedAsync(limit / 3, keepingAlive.Token);
    }

    public async Task StopKeepingAliveAsync()
    {
        if (keepingAlive is null)
            return;
        keepingAlive.Cancel();
        await keepAlive;
        keepingAlive.Dispose();
        keepingAlive = null;
    }

    /// <summary>Asks who answers, and fails for good when the device has restarted unseen.</summary>
    public async Task CheckSessionAsync(CancellationToken cancellation)
    {
        var reply = await ExchangeAsync(LinkRequest.Identify, cancellation);
        var identification = Identification.Parse(reply.Body.AsSpan());
        if (reply.Result == ReplyResult.Ok && identification.Succeeded)
            Meet(identification.Value.Session, ResetCauses.None);
        ThrowIfFailed();
    }

    public async ValueTask DisposeAsync()
    {
        await StopKeepingAliveAsync();
        port.Dispose();
    }

    private async Task<T> InTurnAsync<T>(Func<Task<T>> exchange, CancellationToken cancellation)
    {
        await turn.TakeAsync(cancellation);
        try
        {
            return await exchange();
        }
        finally
        {
            turn.Release();
        }
    }

    private async Task<LinkReply> RepeatAsync(LinkRequest request, CancellationToken cancellation)
    {
        for (var attempt = 0; attempt < patience.Attempts; attempt++)
        {
            if (attempt > 0)
                Interlocked.Increment(ref repeats);
            if (await AttemptAsync(request, patience.FirstReply * (1 << attempt), cancellation) is { } reply)
                return reply;
        }
        throw new AdapterException(
            AdapterFault.Silent,
            $"The adapter on {PortName} does not answer: {request.Type} was sent {patience.Attempts} times within {Seconds(patience.AllReplies)}, and {Damaged()}. "
            + "It turns its lines idle by itself. "
            + (FramesDamaged > 0 || Repeats >= patience.Attempts // more than this request needed: others went unanswered before
                ? $"The link is disturbed. {LinkHealth.Remedy} Then start again."
                : $"Check the cable and the adapter's supply, then unplug it, plug it in and start again. If that does not help, the link may be disturbed: {Decapitalised(LinkHealth.Remedy)}"));
    }

    private async Task<LinkReply?> AttemptAsync(LinkRequest request, TimeSpan limit, CancellationToken cancellation)
    {
        var pending = Send(request);
        try
        {
            return await ArrivesAsync(() => pending.HasCome, limit, cancellation) ? pending.Taken : null;
        }
        finally
        {
            Forget(pending);
        }
    }

    private async Task<BurstAnswer> BurstInTurnAsync(LinkRequest run, uint number, TimeSpan planned, CancellationToken cancellation)
    {
        var end = new PendingEnd(number);
        lock (state)
        {
            ThrowIfFailedLocked();
            pendingEnd = end;
        }
        try
        {
            for (var attempt = 0; attempt < patience.Attempts; attempt++)
            {
                cancellation.ThrowIfCancellationRequested();
                if (attempt > 0)
                    Interlocked.Increment(ref repeats);
                if (await TryBurstAsync(run, end, planned, cancellation) is { } answer)
                    return answer;
            }
        }
        finally
        {
            lock (state)
                pendingEnd = null;
        }
        throw new AdapterException(
            AdapterFault.Silent,
            $"The adapter on {PortName} answers, but run {number} was not started in {patience.Attempts} attempts, and {Damaged()}. Nothing was driven. "
            + $"The link is disturbed. {LinkHealth.Remedy}");
    }

    /// <returns>Null when the device has not run it: it is safe to repeat.</returns>
    private async Task<BurstAnswer?> TryBurstAsync(LinkRequest run, PendingEnd end, TimeSpan planned, CancellationToken cancellation)
    {
        var damagedBefore = FramesDamaged;
        var pending = Send(run);
        try
        {
            await ArrivesAsync(() => pending.HasCome || end.Ended is not null, planned + patience.EndMargin + patience.FirstReply, cancellation);
            if (pending.HasCome && end.Ended is null)
            {
                var reply = pending.Taken;
                if (reply.Result is not (ReplyResult.Ok or ReplyResult.AlreadyRun))
                    return new(null, reply);
                if (reply.Result == ReplyResult.Ok)
                    await AwaitEndAsync(end, planned, damagedBefore, cancellation);
            }
            return end.Ended is { } ended ? new(ended, null) : await AskForEndAsync(end.Run, cancellation);
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested)
        {
            Write([FrameFormat.Delimiter]);
            if (await ArrivesAsync(() => end.Ended is not null, patience.StopReply, CancellationToken.None))
                return new(end.Ended, null);
            if (await AskForEndAsync(end.Run, CancellationToken.None) is { } answer)
                return answer;
            throw;
        }
        finally
        {
            Forget(pending);
        }
    }

    /// <summary>
    /// A damaged frame near the end may have been the notice of the end, and then it is right to ask soon. When nothing at all came the
    /// device is still busy, as an emulated one may be, and asking would end its burst. But if it is not, its heartbeat already runs down.
    /// </summary>
    private async Task AwaitEndAsync(PendingEnd end, TimeSpan planned, long damagedBefore, CancellationToken cancellation)
    {
        if (await ArrivesAsync(() => end.Ended is not null, planned + patience.EndMargin, cancellation) || FramesDamaged != damagedBefore)
            return;
        var longest = (planned * (patience.SlowFactor - 1)) + patience.SlowAllowance;
        var beforeHeartbeatEnds = heartbeat * 2 / 3;
        await ArrivesAsync(() => end.Ended is not null, longest < beforeHeartbeatEnds ? longest : beforeHeartbeatEnds, cancellation);
    }

    private async Task<BurstAnswer?> AskForEndAsync(uint run, CancellationToken cancellation)
    {
        var reply = await RepeatAsync(LinkRequest.Status, cancellation);
        var status = DeviceStatus.Parse(reply.Body.AsSpan());
        if (reply.Result != ReplyResult.Ok || !status.Succeeded)
            throw BrokenAnswer(RequestType.Status, status.Problem ?? reply.Result.ToString());
        return status.Value.LastRun == run ? new(status.Value.LastEnd, null) : null;
    }

    /// <param name="hasArrived">Asked whenever something came; it may become true but not false again.</param>
    /// <returns>False when it did not arrive in time.</returns>
    /// <exception cref="OperationCanceledException">Cancelled meanwhile.</exception>
    /// <exception cref="AdapterException">The session failed before it arrived.</exception>
    private async Task<bool> ArrivesAsync(Func<bool> hasArrived, TimeSpan limit, CancellationToken cancellation)
    {
        var waited = new Awaited(hasArrived);
        lock (state)
        {
            if (hasArrived())
                return true;
            ThrowIfFailedLocked();
            awaited = waited;
        }
        try
        {
            using var timer = time.CreateTimer(_ => waited.Over.TrySetResult(), null, limit, Timeout.InfiniteTimeSpan);
            using var cancelling = cancellation.UnsafeRegister(_ => waited.Over.TrySetCanceled(cancellation), null);
            await waited.Over.Task;
        }
        finally
        {
            lock (state)
                awaited = null;
        }
        lock (state)
        {
            // A computer that is busy notices both at once: the answer that came and the time that is up.
            if (hasArrived())
                return true;
            ThrowIfFailedLocked();
            return false;
        }
    }

    /// <summary>Wakes whoever waits for what has come now, or for what never will. Under the lock of the state.</summary>
    private void WakeLocked()
    {
        if (awaited is { } waited && (failure is not null || waited.HasArrived()))
            waited.Over.TrySetResult();
    }

    private async Task FeedAsync(TimeSpan pause, CancellationToken stop)
    {
        try
        {
            while (!stop.IsCancellationRequested)
            {
                var left = pause - SinceAnswered();
                if (left > TimeSpan.Zero)
                    await Task.Delay(WholeMilliseconds(left), time, stop);
                else
                    await InTurnAsync(() => SinceAnswered() < pause ? NothingToDo : RepeatAsync(LinkRequest.Alive, stop), stop);
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // Asked to end.
        }
        catch (AdapterException lost)
        {
            // Nobody waits for this exchange: whoever calls next is told.
            Fail(lost);
        }
    }

    /// <summary>A delay counts whole milliseconds: of less than one nothing would be left, and the loop would go round until it has passed.</summary>
    private static TimeSpan WholeMilliseconds(TimeSpan span) => TimeSpan.FromMilliseconds(Math.Ceiling(span.TotalMilliseconds));

    private static readonly Task<LinkReply> NothingToDo = Task.FromResult(new LinkReply(ReplyResult.Ok, []));

    private TimeSpan SinceAnswered() => time.GetElapsedTime(Interlocked.Read(ref lastAnswered));

    private PendingReply Send(LinkRequest request)
    {
        Span<byte> wire = stackalloc byte[FrameFormat.LongestWire];
        PendingReply pending;
        lock (state)
        {
            ThrowIfFailedLocked();
            sequence = unchecked((byte)(sequence + 1));
            pending = new(MessageTypes.ReplyTo(request.Type), sequence);
            pendingReply = pending;
        }
        Write(wire[..FrameEncoder.Encode((byte)request.Type, pending.Sequence, request.Body.AsSpan(), wire)]);
        return pending;
    }

    private void Forget(PendingReply pending)
    {
        lock (state)
        {
            if (pendingReply == pending)
                pendingReply = null;
        }
    }

    private void Write(ReadOnlySpan<byte> bytes)
    {
        lock (writing)
        {
            ThrowIfFailed();
            try
            {
                port.Write(bytes);
            }
            catch (Exception cause) when (cause is IOException or TimeoutException or InvalidOperationException or UnauthorizedAccessException)
            {
                Fail(Unplugged(cause));
            }
        }
        ThrowIfFailed();
    }

    void ILinkReceiver.Lose(Exception cause) => Fail(Unplugged(cause));

    void ILinkReceiver.Receive(ReadOnlySpan<byte> bytes)
    {
        lock (state)
        {
            bytesReceived += bytes.Length;
            for (var index = 0; index < bytes.Length && firstBytes.Count < KeptForDiagnosis; index++)
                firstBytes.Add(bytes[index]);
        }
        while (true)
        {
            var frame = decoder.Read(bytes, out var consumed);
            bytes = bytes[consumed..];
            switch (frame.Answer)
            {
                case FrameAnswer.NeedMore:
                    return;
                case FrameAnswer.Malformed:
                    Interlocked.Increment(ref framesDamaged);
                    break;
                default:
                    if (MessageTypes.IsNotice(frame.Type))
                        TakeNotice((NoticeType)frame.Type, frame.Body);
                    else
                        TakeReply(frame);
                    break;
            }
        }
    }

    private void TakeReply(FrameReading frame)
    {
        lock (state)
        {
            // A reply to an attempt that was given up, or an echo of our own request: not for us.
            if (pendingReply is not { } pending || pending.Type != frame.Type || pending.Sequence != frame.Sequence)
                return;
            pendingReply = null;
            Interlocked.Exchange(ref lastAnswered, time.GetTimestamp());
            var reply = LinkReply.Parse(frame.Body);
            if (reply.Succeeded)
                pending.Reply = reply.Value;
            else
                pending.Broken = BrokenAnswer((RequestType)(frame.Type - MessageTypes.ReplyOffset), reply.Problem!);
            WakeLocked();
        }
    }

    private void TakeNotice(NoticeType type, ReadOnlySpan<byte> body)
    {
        switch (type)
        {
            case NoticeType.Boot:
                var boot = BootNotice.Parse(body);
                if (boot.Succeeded)
                    Meet(boot.Value.Session, boot.Value.ResetCauses);
                else
                    Fail(BrokenNotice(type, boot.Problem!));
                break;
            case NoticeType.Done:
                var end = BurstEnd.Parse(body);
                if (end.Succeeded)
                    TakeEnd(end.Value);
                else
                    Fail(BrokenNotice(type, end.Problem!));
                break;
            case NoticeType.Disarmed:
                disarmedByItself = true;
                break;
            default:
                // A later minor version may have more notices; none of them asks for anything.
                break;
        }
    }

    private void TakeEnd(BurstEnd end)
    {
        Interlocked.Exchange(ref lastAnswered, time.GetTimestamp());
        lock (state)
        {
            if (pendingEnd?.Run != end.Run)
                return;
            pendingEnd.Ended ??= end;
            WakeLocked();
        }
    }

    private void Meet(uint metSession, ResetCauses causes)
    {
        lock (state)
        {
            if (session is null || session == metSession)
                return;
        }
        var why = causes switch
        {
            _ when causes.HasFlag(ResetCauses.Watchdog) => "its watchdog found the program hanging: please report this",
            _ when causes.HasFlag(ResetCauses.BrownOut) => "its supply voltage sagged: give it a supply of its own, or another cable or hub",
            _ when causes.HasFlag(ResetCauses.PowerOn) => "it lost its supply for a moment: check the plug and the cable",
            _ when causes.HasFlag(ResetCauses.External) => "its reset line was pulled, by its button or by another program that opened the port",
            _ => "it did not say why",
        };
        Fail(new AdapterException(
            AdapterFault.Restarted,
            $"The adapter on {PortName} restarted in the middle of the session ({why}). Its lines are released and nothing is driven. Start the run again."));
    }

    private void Fail(AdapterException cause)
    {
        lock (state)
        {
            failure ??= cause;
            pendingReply = null;
            WakeLocked();
        }
    }

    private void ThrowIfFailed()
    {
        lock (state)
            ThrowIfFailedLocked();
    }

    private void ThrowIfFailedLocked()
    {
        if (failure is not null)
            throw Again(failure);
    }

    private static AdapterException Again(AdapterException failure) => new(failure.Fault, failure.Message, failure);

    private AdapterException Unplugged(Exception cause) => new(
        AdapterFault.Unplugged,
        $"The adapter on {PortName} is gone: it was unplugged, or lost its supply. It turns its lines idle by itself. Plug it in and start the run again.",
        cause);

    /// <summary>What the device said breaks the protocol.</summary>
    public AdapterException BrokenAnswer(RequestType request, string problem) => new(
        AdapterFault.BrokenAnswer,
        $"The adapter on {PortName} answered {request} with something that cannot be: {problem}. Nothing of it was used. Load its firmware afresh; if it happens again, report it.");

    private AdapterException BrokenNotice(NoticeType notice, string problem) => new(
        AdapterFault.BrokenAnswer,
        $"The adapter on {PortName} sent a notice {notice} that cannot be: {problem}. Load its firmware afresh; if it happens again, report it.");

    /// <summary>A frame with the right CRC-32 is no chance: whoever sent one is an adapter, behind a bad link or gone dumb.</summary>
    private AdapterException NotIdentified() => decoder.Accepted == 0
        ? new(AdapterFault.NotAnAdapter, WhatWasSeen())
        : new(
            AdapterFault.Silent,
            $"An adapter is on {PortName}, but it did not say within {Seconds(patience.Identify)} who it is: {decoder.Accepted} whole {(decoder.Accepted == 1 ? "frame" : "frames")} came from it, and {Damaged()}. "
            + $"The link is disturbed, or the adapter hangs. {LinkHealth.Remedy} Then start again.");

    private string WhatWasSeen()
    {
        lock (state)
        {
            if (bytesReceived == 0)
            {
                return $"Nothing answered on {PortName} within {Seconds(patience.Identify)}: no byte came. Check that it is the adapter's port, that the adapter has its supply, "
                    + "and that its firmware is loaded.";
            }
            var text = new StringBuilder();
            foreach (var value in firstBytes)
                text.Append(value is >= 0x20 and < 0x7F ? (char)value : '.');
            var more = bytesReceived > firstBytes.Count ? " ..." : "";
            return $"What is on {PortName} is not an adapter that this program knows: {bytesReceived} bytes came within {Seconds(patience.Identify)}, "
                + "none of them a valid frame. "
                + $"They begin with {Convert.ToHexString([.. firstBytes])}{more} (\"{text}\"). Check that it is the adapter's port and that its firmware is loaded. "
                + $"If both are right, the link is disturbed: {Decapitalised(LinkHealth.Remedy)}";
        }
    }

    private string Damaged() => FramesDamaged switch
    {
        0 => "nothing damaged arrived either",
        1 => "1 damaged frame arrived",
        var count => string.Create(CultureInfo.InvariantCulture, $"{count} damaged frames arrived"),
    };

    private static string Decapitalised(string sentence) => char.ToLowerInvariant(sentence[0]) + sentence[1..];

    private static string Seconds(TimeSpan span) => string.Create(CultureInfo.InvariantCulture, $"{span.TotalSeconds:0.##} s");

    private sealed class PendingReply(byte type, byte sequence)
    {
        public byte Type { get; } = type;

        public byte Sequence { get; } = sequence;

        public LinkReply? Reply { get; set; }

        /// <summary>What was wrong with the one that came.</summary>
        public AdapterException? Broken { get; set; }

        public bool HasCome => Reply is not null || Broken is not null;

        /// <summary>Once it <see cref="HasCome"/>.</summary>
        /// <exception cref="AdapterException">It breaks the protocol.</exception>
        public LinkReply Taken => Reply ?? throw Broken!;
    }

    private sealed class PendingEnd(uint run)
    {
        public uint Run { get; } = run;

        public BurstEnd? Ended { get; set; }
    }

    private sealed class Awaited(Func<bool> hasArrived)
    {
        public Func<bool> HasArrived { get; } = hasArrived;

        /// <summary>Continuations must not run on the thread that tells what came: it would then wait for itself.</summary>
        public TaskCompletionSource Over { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);
    }
}

/// <summary>How a burst ended, or that it was refused. Exactly one is not null.</summary>
internal sealed record BurstAnswer(BurstEnd? End, LinkReply? Refusal);
