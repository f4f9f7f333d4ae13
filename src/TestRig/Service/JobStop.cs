using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>How a running job is ended from outside, and by whom.</summary>
internal sealed class JobStop : IDisposable
{
    private readonly CancellationTokenSource _lastCycle = new(), _now = new();
    private readonly Lock _lock = new();

    /// <summary>With the cycle that is going on.</summary>
    public CancellationToken LastCycle => _lastCycle.Token;

    /// <summary>At once: lines go idle.</summary>
    public CancellationToken Now => _now.Token;

    /// <summary>Why, for the record; null while nothing has ended it.</summary>
    public string? Why { get; private set; }

    /// <summary>It goes on when the service does.</summary>
    private bool IsInterruption { get; set; }

    /// <summary>What became of a job that was ended so and can be gone on with.</summary>
    /// <param name="words">What it came to until then.</param>
    public JobOutcome Outcome(string words) => new(IsInterruption ? JobState.Interrupted : JobState.Stopped, $"{Why} {words}");

    public void AtOnce(string why, bool interruption = false)
    {
        Say(why, interruption);
        _now.Cancel();
    }

    public void AfterCycle(string why)
    {
        Say(why, interruption: false);
        _lastCycle.Cancel();
    }

    public void Dispose()
    {
        _lastCycle.Dispose();
        _now.Dispose();
    }

    /// <summary>The first reason stays: what comes later only hurries it.</summary>
    private void Say(string why, bool interruption)
    {
        lock (_lock)
        {
            if (Why is null)
                (Why, IsInterruption) = (why, interruption);
        }
    }
}
