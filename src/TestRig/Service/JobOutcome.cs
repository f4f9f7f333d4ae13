using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>How a job ended.</summary>
/// <param name="Words">For people.</param>
internal sealed record JobOutcome(JobState State, string Words);
