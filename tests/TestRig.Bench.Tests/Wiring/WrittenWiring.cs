using TestRig.Bench.Tests.Files;
using YamlDotNet.RepresentationModel;

namespace TestRig.Bench.Tests.Wiring;

/// <summary>The leads of a profile, read from its YAML without the program's own reader.</summary>
internal static class WrittenWiring
{
    public static string PathOf(string profile) => Path.Combine(Repository.Root, "profiles", profile + ".yaml");

    /// <summary>"A6 - 100 kohm / 47 kohm - OK1.5": adapter pin, what the lead goes through, test point; in no order.</summary>
    public static IReadOnlyList<string> Leads(string profile)
    {
        var stream = new YamlStream();
        using var text = File.OpenText(PathOf(profile));
        stream.Load(text);
        var root = (YamlMappingNode)stream.Documents[0].RootNode;
        var drivenAt = Entries(root, "channels").Select(channel => Value(channel.Value, "drive")!.Split(" at ")).ToDictionary(words => words[0], words => words[1]);
        var lines = Entries(root, "lines").Select(line => $"{Value(line.Value, "adapter")} - 220 ohm - {drivenAt[line.Key]}");
        var senses = Entries(root, "test-points")
            .Where(point => Value(point.Value, "adapter") is not null && !drivenAt.ContainsValue(point.Key))
            .Select(point => $"{Value(point.Value, "adapter")} - {Value(point.Value, "divider") ?? "1 kohm"} - {point.Key}");
        return [.. lines, .. senses];
    }

    private static IEnumerable<KeyValuePair<string, YamlMappingNode>> Entries(YamlMappingNode root, string key) =>
        ((YamlMappingNode)root.Children[new YamlScalarNode(key)]).Children.Select(entry => KeyValuePair.Create(((YamlScalarNode)entry.Key).Value!, (YamlMappingNode)entry.Value));

    private static string? Value(YamlMappingNode node, string key) =>
        node.Children.TryGetValue(new YamlScalarNode(key), out var value) ? ((YamlScalarNode)value).Value : null;
}
