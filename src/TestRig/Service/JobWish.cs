using TestRig.Bench.Files;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>What is asked of a bench, as other programs write it.</summary>
/// <param name="For">How long a soak goes on, with its unit: "8h".</param>
internal sealed record JobWish(JobKind Kind, string? For = null, long? Cycles = null, bool Motion = false, bool Fast = false, int Repeats = 1, bool WatchIdle = false, long? StopAfterFailures = null, string? Serial = null, string? Resume = null, string? Channel = null)
{
    public static JobWish Of(JobRequest request) => new(
        request.Kind, request.For is { } length ? JobWords.Length(length) : null, request.Cycles, request.Motion, request.Fast, request.Repeats, request.WatchIdle,
        request.StopAfterFailures, request.Serial, request.Resume, request.Channel);

    /// <param name="problem">What is wrong and what would be right; null where nothing is.</param>
    public JobRequest? Read(out string? problem)
    {
        TimeSpan? length = null;
        if (For is not null && (length = QuantityText.Span(For, out var wrong)) is null)
        {
            problem = $"'for': {wrong}.";
            return null;
        }
        var request = new JobRequest(Kind, length, Cycles)
        {
            Motion = Motion,
            Fast = Fast,
            Repeats = Repeats,
            WatchIdle = WatchIdle,
            StopAfterFailures = StopAfterFailures,
            Serial = string.IsNullOrWhiteSpace(Serial) ? null : Serial.Trim(),
            Resume = Resume,
            Channel = Channel,
        };
        problem = request.Problem;
        return problem is null ? request : null;
    }
}
