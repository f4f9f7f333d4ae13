using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Soaking;

/// <summary>What a sweep was, beside what its cycles say: kept with its run as its options, so that its report can be written again.</summary>
internal sealed record SweepFacts(
    DateTimeOffset Started, bool Together, int Repeats, ImmutableArray<CheckDone> Checks, SweepEnding Ending, LinkHealth? Link, Duration PlannedStimulus, TimeSpan StimulusElapsed)
{
    public static SweepFacts Of(SweepResult result) =>
        new(result.Started, result.Together, result.Repeats, result.Checks, result.Ending, result.Link, result.PlannedStimulus, result.StimulusElapsed);

    public string ToJson() => JsonSerializer.Serialize(this, RecordJson.Options);

    /// <exception cref="RunStorageException">It is not what <see cref="ToJson"/> wrote.</exception>
    public static SweepFacts Read(string run, string text)
    {
        try
        {
            return JsonSerializer.Deserialize<SweepFacts>(text, RecordJson.Options) is { Checks.IsDefault: false } facts ? facts : throw new JsonException("it is of an earlier version");
        }
        catch (JsonException cause)
        {
            throw new RunStorageException($"How run {run} was swept cannot be read: {cause.Message}. What it captured can: see 'testrig runs judge'.", cause);
        }
    }
}
