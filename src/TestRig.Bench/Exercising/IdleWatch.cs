using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>
/// Watches the test points while every line idles: transitions that nobody commanded. Prepared, armed and watched as a sweep; no line is ever on. Between its windows nobody looks.
/// </summary>
public sealed class IdleWatch(Board board, IAdapter adapter, SweepOptions options, TimeProvider time, ILogger log)
{
    /// <summary>Of a cycle, behind each selection of the multiplexers: to look most of the time, and still check supplies and leads often.</summary>
    private const int Windows = 10;

    private static readonly Duration _longestWindow = Duration.FromMilliseconds(1000);

    private readonly PointsInView _view = new(board, adapter);
    private readonly SweepOptions _options = options.On(board);
    private readonly List<CheckDone> _checks = [];
    private readonly List<Capture> _captures = [];
    private TimeSpan _elapsed;

    /// <exception cref="ProfileMismatchException">The profile does not fit the adapter; nothing was armed.</exception>
    public async Task<SweepResult> MeasureAsync(CancellationToken cancellation)
    {
        AdapterFit.Check(board, adapter);
        var started = time.GetLocalNow();
        var preparation = new Preparation(board, adapter, _options, _view);
        SweepEnding ending;
        try
        {
            ending = await WatchAsync(preparation, cancellation);
        }
        catch (OperationCanceledException)
        {
            ending = new(SweepOutcome.Cancelled, "Cancelled: lines are idle.");
        }
        catch (AdapterException fault)
        {
            log.Error(fault, "The adapter failed");
            ending = new(SweepOutcome.AdapterFailed, fault.Message);
        }
        ending = await LastRelease.MakeAsync(adapter, ending, log);
        ImmutableArray<Capture> windows = [.. _captures];
        return new(
            board, adapter.Identity, _options.Mode, started,
            [.. board.Channels.Select(channel => windows.IsEmpty ? ChannelResult.NotExercised(channel, $"Not watched: {ending.Words}") : IdleJudge.Judge(channel, _options.Mode, windows))],
            [.. _checks], Diagnosis.None, ending, Window * windows.Length, _elapsed)
        { Link = adapter.Link, Seen = [.. preparation.SeenSoFar] };
    }

    private Duration Window => Duration.Min(adapter.Identity.LongestProgram, _longestWindow);

    private async Task<SweepEnding> WatchAsync(Preparation preparation, CancellationToken cancellation)
    {
        var progress = new Checks(_checks);
        if (await preparation.ArmAsync(BoardLimits.Of(board, Window), progress, cancellation) is { } notReady)
            return notReady;
        if (await Preparation.MakeAsync(preparation.IdleLevelsAsync, progress, cancellation) is { } stopped)
            return stopped;
        for (var window = 0; window < Windows; window++)
        {
            foreach (var selection in _view.Selections)
            {
                var names = await _view.ShowAsync(selection, cancellation);
                var burst = await adapter.RunAsync(new([], Window), cancellation);
                _elapsed += burst.Elapsed;
                var capture = names.Apply(burst.Capture);
                if (capture.Ending.Outcome == CaptureOutcome.HostByte)
                    cancellation.ThrowIfCancellationRequested();
                _captures.Add(capture);
                if (capture.Ending.Outcome == CaptureOutcome.StopInput)
                    return SweepEnding.StoppedBy(capture.Ending.StoppedBy);
            }
        }
        return await Preparation.MakeAsync(preparation.QuietAgainAsync, progress, cancellation) ?? SweepEnding.Complete;
    }

    private sealed class Checks(List<CheckDone> checks) : IProgress<SweepEvent>
    {
        public void Report(SweepEvent value)
        {
            if (value is CheckDone check)
                checks.Add(check);
        }
    }
}
