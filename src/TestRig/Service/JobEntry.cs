using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>A job, for other programs.</summary>
internal sealed record JobEntry(
    long Id, string Bench, JobKind Kind, JobWish Wish, string By, DateTimeOffset Asked, JobState State, string? Run, DateTimeOffset? Begun, DateTimeOffset? Ended, string? Words)
{
    public static JobEntry Of(Job job) => new(job.Id, job.Bench, job.Request.Kind, JobWish.Of(job.Request), job.By, job.Asked, job.State, job.Run, job.Begun, job.Ended, job.Words);
}
