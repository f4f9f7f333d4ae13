using System.Runtime.CompilerServices;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>What is known of a bench at any moment, and who wants to know when that changes.</summary>
internal sealed class LiveBench(BenchSettings settings)
{
    private readonly Lock _lock = new();
    private TaskCompletionSource _changed = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private BenchNow _now = new(settings.Name, null, AdapterStanding.Unknown, settings.Adapter ?? "simulated", null, null, null, null, null, null, []);

    public BenchSettings Settings => settings;

    public BenchNow Now
    {
        get
        {
            lock (_lock)
                return _now;
        }
    }

    public void Update(Func<BenchNow, BenchNow> change)
    {
        TaskCompletionSource changed;
        lock (_lock)
        {
            var next = change(_now);
            if (next == _now)
                return;
            _now = next with { Version = _now.Version + 1 };
            (changed, _changed) = (_changed, new(TaskCreationOptions.RunContinuationsAsynchronously));
        }
        changed.SetResult();
    }

    /// <summary>The bench as it is, and again whenever that changes, until whoever watches is gone or the service ends.</summary>
    public async IAsyncEnumerable<BenchNow> ChangesAsync(CancellationToken stopping, [EnumeratorCancellation] CancellationToken cancellation = default)
    {
        using var either = CancellationTokenSource.CreateLinkedTokenSource(stopping, cancellation);
        var seen = -1L;
        while (true)
        {
            BenchNow now;
            try
            {
                now = await WaitAsync(seen, either.Token);
            }
            catch (OperationCanceledException)
            {
                yield break;
            }
            seen = now.Version;
            yield return now;
        }
    }

    /// <summary>Returns when it is another than that version, at once where it is already.</summary>
    private async Task<BenchNow> WaitAsync(long version, CancellationToken cancellation)
    {
        while (true)
        {
            Task change;
            lock (_lock)
            {
                if (_now.Version != version)
                    return _now;
                change = _changed.Task;
            }
            await change.WaitAsync(cancellation);
        }
    }
}
