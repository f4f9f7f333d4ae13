using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Soaking;

/// <summary>What an adapter said of itself, kept with what it measured.</summary>
internal static class AdapterJson
{
    public static string Write(IAdapter adapter) => JsonSerializer.Serialize(new Document(adapter.Identity, adapter.Pins), RecordJson.Options);

    private sealed record Document(AdapterIdentity Identity, ImmutableArray<AdapterPin> Pins);
}
