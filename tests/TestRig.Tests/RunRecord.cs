using System.Text.Json;

namespace TestRig.Tests;

/// <summary>What a test asks of a run's record, read from the JSON alone.</summary>
internal sealed class RunRecord(JsonElement root)
{
    public static RunRecord Of(ProgramRun run) => new(JsonDocument.Parse(run.Output).RootElement);

    public IReadOnlyDictionary<string, string> Conditions =>
        root.GetProperty("channels").EnumerateArray().ToDictionary(channel => channel.GetProperty("name").GetString()!, channel => channel.GetProperty("condition").GetString()!);

    public IReadOnlyList<string> FirstSuspects =>
        root.GetProperty("suspects").EnumerateArray().FirstOrDefault() is { ValueKind: JsonValueKind.Object } suspect
            ? [.. suspect.GetProperty("group").EnumerateArray().Select(item => item.GetString()!)]
            : [];

    public JsonElement Root => root;
}
