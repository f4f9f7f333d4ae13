using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Soaking;

/// <summary>What an adapter said of itself, kept with what it measured.</summary>
internal static class AdapterJson
{
    public static string Write(IAdapter adapter) => JsonSerializer.Serialize(new AdapterSaid(adapter.Identity, adapter.Pins), RecordJson.Options);

    /// <param name="place">Where the text is from, for people: "session 2 of run night".</param>
    /// <exception cref="RunStorageException">It is not what <see cref="Write"/> wrote.</exception>
    public static AdapterSaid Read(string place, string text)
    {
        try
        {
            return JsonSerializer.Deserialize<AdapterSaid>(text, RecordJson.Options) ?? throw new JsonException("nothing is written there");
        }
        catch (JsonException cause)
        {
            throw new RunStorageException($"What the adapter of {place} said of itself cannot be read: {cause.Message}. What was measured can: see 'testrig runs export'.", cause);
        }
    }
}

/// <param name="Pins">Where it reads voltages and checks leads.</param>
internal sealed record AdapterSaid(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins);
