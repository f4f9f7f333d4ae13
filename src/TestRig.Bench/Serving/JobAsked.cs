namespace TestRig.Bench.Serving;

/// <summary>What became of a wish.</summary>
/// <param name="Job">The job that it is now, or was before; null where the queue is full.</param>
public sealed record JobAsked(AskOutcome Outcome, Job? Job);

public enum AskOutcome
{
    New,

    /// <summary>The same wish was known already: nothing was asked for twice.</summary>
    Known,

    /// <summary>The key belongs to another wish.</summary>
    KeyTaken,

    /// <summary>Too many jobs wait for the bench.</summary>
    QueueFull,
}
