namespace TestRig.Bench.Serving;

/// <summary>Something that somebody asked of a bench.</summary>
/// <param name="Id">From 1, in the order in which jobs were asked for.</param>
/// <param name="By">The name of the token, or of the schedule.</param>
/// <param name="ArmedAt">Since when the bench was armed for it: it begins, and goes on, under that arming only. Null where it was not armed.</param>
/// <param name="Run">The run that it has begun; null until then.</param>
/// <param name="Words">How it ended or why it waits, for people; null where there is nothing to say yet.</param>
public sealed record Job(
    long Id, string Bench, JobRequest Request, string By, DateTimeOffset Asked, DateTimeOffset? ArmedAt, JobState State, string? Run, DateTimeOffset? Begun, DateTimeOffset? Ended, string? Words)
{
    /// <summary>Nothing more comes of it.</summary>
    public bool IsOver => State is not (JobState.Waiting or JobState.Running or JobState.Interrupted);
}

public enum JobState
{
    /// <summary>For its turn.</summary>
    Waiting,

    Running,

    /// <summary>The service ended meanwhile. It goes on when the service does.</summary>
    Interrupted,

    /// <summary>Did all that was asked for, whatever it found.</summary>
    Done,

    /// <summary>Somebody stopped it, or the bench was disarmed.</summary>
    Stopped,

    /// <summary>It could not be done, or not to its end.</summary>
    Failed,

    /// <summary>It was not begun.</summary>
    Refused,
}
