using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace TestRig.Bench.Files;

/// <summary>
/// The rules of <see cref="ProfileKeys"/> as a JSON Schema (2020-12), for editors that complete and check while a profile is written. It knows keys, words and
/// quantities; what the parts of a profile say of each other only 'profile check' knows.
/// </summary>
public static class ProfileSchema
{
    private static readonly JsonSerializerOptions _options = new() { WriteIndented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    public static string Write()
    {
        var schema = new JsonObject
        {
            ["$schema"] = "https://json-schema.org/draft/2020-12/schema",
            ["title"] = $"TestRig profile of a board, {ProfileReader.Format}",
            ["$comment"] = "Made by 'testrig profile schema' from the profile reader's own rules; do not edit.",
        };
        foreach (var (key, value) in Of(ValueForm.Group(ProfileKeys.Root)))
            schema[key] = value?.DeepClone();
        return schema.ToJsonString(_options) + "\n";
    }

    private static JsonObject Of(ValueForm form) => form switch
    {
        // YAML takes a plain 4013 for a number; the reader takes it as it is written.
        TextForm => new() { ["type"] = new JsonArray("string", "number") },
        TrueOrFalseForm => new() { ["type"] = "boolean" },
        NumberForm => new() { ["type"] = "integer", ["minimum"] = 1 },
        WordsForm words => new() { ["enum"] = new JsonArray([.. words.Words.Select(word => JsonValue.Create(word))]) },
        PatternForm pattern => new() { ["type"] = "string", ["pattern"] = pattern.Pattern },
        ListForm list => List(list),
        GroupForm group => Group(group),
        NamesForm names => new()
        {
            ["type"] = "object",
            ["minProperties"] = names.Least,
            ["patternProperties"] = new JsonObject { [MapReader.NamePattern] = Of(names.Entry) },
            ["additionalProperties"] = false,
        },
        EitherForm either => new() { ["oneOf"] = new JsonArray([.. either.Forms.Select(Of)]) },
        _ => throw new NotSupportedException($"a schema for {form.GetType().Name} is not written yet"),
    };

    private static JsonObject List(ListForm list)
    {
        var schema = new JsonObject { ["type"] = "array", ["items"] = Of(list.Item), ["minItems"] = list.Least };
        if (list.Most is { } most)
            schema["maxItems"] = most;
        return schema;
    }

    private static JsonObject Group(GroupForm group)
    {
        var properties = new JsonObject();
        foreach (var rule in group.Keys)
        {
            var property = Of(rule.Form ?? throw new InvalidOperationException($"the rule for '{rule.Name}' does not say what stands behind it"));
            if (rule.Required)
                property["description"] = $"Required. {rule.Example}";
            properties[rule.Name] = property;
        }
        return new()
        {
            ["type"] = "object",
            ["properties"] = properties,
            ["required"] = new JsonArray([.. group.Keys.Where(rule => rule.Required).Select(rule => JsonValue.Create(rule.Name))]),
            ["additionalProperties"] = false,
        };
    }
}
