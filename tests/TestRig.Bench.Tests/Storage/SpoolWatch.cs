using TestRig.Bench.Storage;

namespace TestRig.Bench.Tests.Storage;

/// <summary>Keeps what a spool reports, and waits for what it is to report.</summary>
internal sealed class SpoolWatch : IProgress<SpoolEvent>
{
    /// <summary>So long that only a spool which will never get there is given up.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(2);

    private readonly Lock _lock = new();
    private readonly List<SpoolEvent> _events = [];
    private readonly List<(Func<IReadOnlyList<SpoolEvent>, bool> IsSo, TaskCompletionSource Waits)> _waiting = [];

    public void Report(SpoolEvent value)
    {
        lock (_lock)
        {
            _events.Add(value);
            foreach (var (_, waits) in _waiting.FindAll(one => one.IsSo(_events)))
                waits.TrySetResult();
        }
    }

    public Task UntilAsync(Func<IReadOnlyList<SpoolEvent>, bool> isSo)
    {
        var waits = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        lock (_lock)
        {
            if (isSo(_events))
                return Task.CompletedTask;
            _waiting.Add((isSo, waits));
        }
        return waits.Task.WaitAsync(_patience);
    }

    public Task UntilCopiedAsync(string run, long cycles) => UntilAsync(events => events.Any(one => one is RunCopied copied && copied.Run == run && copied.Cycles >= cycles));

    public Task UntilHandedOverAsync(string run) => UntilAsync(events => events.Contains(new RunHandedOver(run)));

    /// <summary>As it was reported last.</summary>
    public Task UntilStateAsync(Func<SpoolState, bool> isSo) => UntilAsync(events => events.OfType<SpoolChanged>().LastOrDefault() is { } last && isSo(last.State));
}
