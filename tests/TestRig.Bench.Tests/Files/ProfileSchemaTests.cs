using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using TestRig.Bench.Files;
using YamlDotNet.Core;
using YamlDotNet.RepresentationModel;

namespace TestRig.Bench.Tests.Files;

/// <summary>The published schema, by a validator of its own, on YAML as an editor reads it.</summary>
public class ProfileSchemaTests
{
    private static readonly string _published = Path.Combine(Repository.Root, "profiles", "testrig-profile.schema.json");

    private static readonly JsonSchema _schema = JsonSchema.FromText(ProfileSchema.Write());

    [Fact]
    public void The_file_in_the_repository_is_what_the_program_prints() =>
        Assert.Equal(ProfileSchema.Write(), File.ReadAllText(_published)); // renew it with: testrig profile schema > profiles/testrig-profile.schema.json

    [Fact]
    public void It_is_a_schema_by_the_rules_of_2020_12()
    {
        using var document = JsonDocument.Parse(File.ReadAllText(_published));
        Assert.True(MetaSchemas.Draft202012.Evaluate(document.RootElement).IsValid);
    }

    [Fact]
    public void The_demonstration_profile_conforms() => Assert.True(Conforms(Demo));

    /// <summary>What the schema accepts or refuses in the demonstration profile, the reader does too: one edit each.</summary>
    [Theory]
    [InlineData("volts: 5 V ± 5 %", "volts: 5 V +/- 5 %", true)]
    [InlineData("volts: 5 V ± 5 %", "volts: 5 V", false)]
    [InlineData("volts: 5 V ± 5 %", "volts: 5", false)]
    [InlineData("volts: 5 V ± 5 %", "volts: 5 ± 5 %", false)]
    [InlineData("longest-on: 500 ms", "longest-on: 0.5s", true)]
    [InlineData("longest-on: 500 ms", "longest-on: 500", false)]
    [InlineData("longest-on: 500 ms", "longest-on: 500 MS", false)]
    [InlineData("longest-on: 500 ms, ", "", false)]
    [InlineData("longest-on: 500 ms", "longest: 500 ms", false)]
    [InlineData("idle: high", "idle: up", false)]
    [InlineData("motion: true, longest-on", "motion: maybe, longest-on", false)]
    [InlineData("pull-up: 4.7 kohm to logic", "pull-up: 4.7 kΩ to logic", true)]
    [InlineData("pull-up: 4.7 kohm to logic", "pull-up: 4.7 kohm", false)]
    [InlineData("divider: 10 kohm / 10 kohm", "divider: 10kohm/10kohm", true)]
    [InlineData("divider: 10 kohm / 10 kohm", "divider: 10 kohm", false)]
    [InlineData("taken-at: collector", "taken-at: base", false)]
    [InlineData("pulses: 8..12", "pulses: 8", false)]
    [InlineData("pulses: 8..12, within: 400 ms", "pulses: 8..12", false)]
    [InlineData("bounces: ..10", "bounces: 3..10", false)]
    [InlineData("bounces: ..10", "bounces: 0 .. 10", true)]
    [InlineData("ends: all", "ends: everything", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 0", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: some", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nmultiplexers: { M1: { type: 74HC4051, common: A15, select: [D2, D3, D4] } }", true)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nmultiplexers: { M1: { type: 74HC4051, common: A15 } }", false)]
    [InlineData("- [rotate-left, rotate-right]", "- [rotate-left]", false)]
    [InlineData("drive: rotate-left at J1.2", "drive: rotate-left", false)]
    [InlineData("U3 2>18, U4", "U3 2>, U4", false)]
    [InlineData("format: testrig-profile/1", "format: testrig-profile/2", false)]
    [InlineData("  LOGIC: ", "  LOGIC+: ", false)]
    [InlineData("undone-by: rotate-right\n", "undone-by: rotate-right\n    expect: { OK1.5: { falls: 0..25 us, because: measured } }\n", true)]
    [InlineData("undone-by: rotate-right\n", "undone-by: rotate-right\n    expect: { OK1.5: { falls: 500 ns .. 25 µs, because: measured } }\n", true)]
    [InlineData("undone-by: rotate-right\n", "undone-by: rotate-right\n    expect: { OK1.5: { falls: 0..25, because: measured } }\n", false)]
    [InlineData("undone-by: rotate-right\n", "undone-by: rotate-right\n    expect: { OK1.5: { falls: 0..25 us } }\n", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { signals: { J1.2: { name: \"top.command[0]\" }, OK1.5: { name: CH1, unit: mV, low-at-most: 3 V, high-at-least: 9 V } }, time: { column: t, unit: us }, resolution: 10 ns, clock-tolerance: 0.01 % }", true)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { clock-tolerance: ± 0.01 % }", true)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { signals: { J1.2: { unit: V } } }", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { signals: { J1.2: { name: a, unit: A } } }", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { time: { unit: min } }", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { resolution: 10 }", false)]
    [InlineData("lines-on-together: 3", "lines-on-together: 3\nrecordings: { signals: [ J1.2 ] }", false)]
    public void Schema_and_reader_agree(string written, string edited, bool right)
    {
        var at = Demo.IndexOf(written, StringComparison.Ordinal);
        Assert.True(at >= 0, $"'{written}' is not in the demonstration profile");
        var profile = Demo[..at] + edited + Demo[(at + written.Length)..];
        Assert.Equal(right, Conforms(profile));
        Assert.Equal(right, ReaderAccepts(profile));
    }

    private static string Demo { get; } = File.ReadAllText(Repository.DemoProfile);

    private static bool Conforms(string yaml)
    {
        var stream = new YamlStream();
        stream.Load(new StringReader(yaml));
        using var document = JsonDocument.Parse(Json(stream.Documents[0].RootNode)!.ToJsonString());
        return _schema.Evaluate(document.RootElement).IsValid;
    }

    private static bool ReaderAccepts(string yaml)
    {
        var file = Path.GetTempFileName();
        try
        {
            File.WriteAllText(file, yaml);
            return ProfileLoader.Load(file, Repository.PartsFolder).Errors.IsEmpty;
        }
        finally
        {
            File.Delete(file);
        }
    }

    /// <summary>Plain scalars by YAML 1.2's core schema (10.3.2), as far as profiles have them: true, false, numbers; everything else is a string.</summary>
    private static JsonNode? Json(YamlNode node) => node switch
    {
        YamlMappingNode map => new JsonObject(map.Children.Select(entry => KeyValuePair.Create(((YamlScalarNode)entry.Key).Value!, Json(entry.Value)))),
        YamlSequenceNode list => new JsonArray([.. list.Children.Select(Json)]),
        YamlScalarNode { Style: ScalarStyle.Plain, Value: "true" or "false" } truth => JsonValue.Create(truth.Value == "true"),
        YamlScalarNode { Style: ScalarStyle.Plain } number when double.TryParse(number.Value, System.Globalization.CultureInfo.InvariantCulture, out var value) => JsonValue.Create(value),
        YamlScalarNode text => JsonValue.Create(text.Value),
        _ => throw new NotSupportedException(node.GetType().Name),
    };
}
