using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Files;
using TestRig.Bench.Reporting;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Soaking;

/// <summary>What an adapter said of itself, kept with what it measured.</summary>
internal static class AdapterJson
{
    public static string Write(IAdapter adapter) => Write(adapter.Identity, adapter.Pins);

    public static string Write(AdapterIdentity identity, ImmutableArray<AdapterPin> pins) => JsonSerializer.Serialize(new AdapterSaid(identity, pins), RecordJson.Options);

    /// <summary>Only what kind of adapter it was; null where that cannot be read.</summary>
    public static string? KindOf(StoredSession session)
    {
        try
        {
            return JsonSerializer.Deserialize<AdapterSaid>(session.Adapter, RecordJson.Options)?.Identity?.Kind;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    /// <exception cref="RunStorageException">What the session has is not what <see cref="Write(AdapterIdentity, ImmutableArray{AdapterPin})"/> wrote.</exception>
    public static AdapterSaid Of(string run, StoredSession session)
    {
        try
        {
            return JsonSerializer.Deserialize<AdapterSaid>(session.Adapter, RecordJson.Options) is { Identity: not null, Pins.IsDefault: false } said ? said : throw new JsonException("something is missing");
        }
        catch (JsonException cause)
        {
            throw new RunStorageException($"What the adapter of session {session.Number} of run {run} said of itself cannot be read: {cause.Message}. What was measured can: see 'testrig runs export'.", cause);
        }
    }
}

/// <param name="Pins">Where it reads voltages and checks leads.</param>
internal sealed record AdapterSaid(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins);
