using System.Text.Json;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Soaking;

/// <summary>What a soak was told, kept with its run: a resumed one goes on so.</summary>
public static class SoakOptionsJson
{
    public static string Write(SoakOptions options) => JsonSerializer.Serialize(options, RecordJson.Options);

    /// <exception cref="Files.RunStorageException">It is not what <see cref="Write"/> wrote.</exception>
    public static SoakOptions Read(string run, string text)
    {
        try
        {
            return JsonSerializer.Deserialize<SoakOptions>(text, RecordJson.Options) ?? throw new JsonException("nothing is written there");
        }
        catch (JsonException cause)
        {
            throw new Files.RunStorageException($"The options of run {run} cannot be read: {cause.Message}. What it measured can: see 'testrig runs'. Begin a new run.", cause);
        }
    }
}
