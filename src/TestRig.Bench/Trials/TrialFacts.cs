using System.Text.Json;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Trials;

/// <summary>What is known of a trial before its first part: kept with its run as its options.</summary>
/// <param name="Type">What the parts are said to be, by the name in the part library.</param>
/// <param name="Empty">At the emitter with nothing in the socket.</param>
internal sealed record TrialFacts(string Type, Volts Empty)
{
    public string ToJson() => JsonSerializer.Serialize(this, RecordJson.Options);

    /// <exception cref="RunStorageException">It is not what <see cref="ToJson"/> wrote.</exception>
    public static TrialFacts Read(string run, string text)
    {
        try
        {
            return JsonSerializer.Deserialize<TrialFacts>(text, RecordJson.Options) is { Type.Length: > 0 } facts ? facts : throw new JsonException("the type is missing");
        }
        catch (JsonException cause)
        {
            throw new RunStorageException($"What run {run} tried cannot be read: {cause.Message}. Restore the store from a backup, or delete the run.", cause);
        }
    }
}
