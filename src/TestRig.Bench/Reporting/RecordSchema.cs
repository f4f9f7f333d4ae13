using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Schema;

namespace TestRig.Bench.Reporting;

/// <summary>The JSON Schema (draft 2020-12) of a record, made of the very types that it is written from.</summary>
internal static class RecordSchema
{
    private static readonly JsonSerializerOptions _legible = new(RecordJson.Options) { WriteIndented = true };

    /// <param name="document">The type of the whole record.</param>
    /// <param name="format">"testrig-run/1".</param>
    public static string Write(Type document, string format, string title)
    {
        var schema = RecordJson.Options.GetJsonSchemaAsNode(document, new() { TreatNullObliviousAsNonNullable = true, TransformSchemaNode = Closer }).AsObject();
        schema["properties"]!["format"] = new JsonObject { ["const"] = format };
        var whole = new JsonObject { ["$schema"] = "https://json-schema.org/draft/2020-12/schema", ["title"] = title };
        foreach (var (key, value) in schema.ToList())
        {
            schema.Remove(key);
            whole[key] = value;
        }
        return whole.ToJsonString(_legible) + "\n";
    }

    /// <summary>What is null is left out of a record, so a value that may be missing is never null; all others are required. More keys may come with later versions.</summary>
    private static JsonNode Closer(JsonSchemaExporterContext context, JsonNode node)
    {
        if (node is not JsonObject schema)
            return node;
        if (schema["type"] is JsonArray types)
            schema["type"] = types.Select(type => type!.GetValue<string>()).Single(type => type != "null");
        if (schema["enum"] is JsonArray values)
            schema["enum"] = new JsonArray([.. values.Where(value => value is not null).Select(value => value!.DeepClone())]);
        if (schema.ContainsKey("properties"))
        {
            schema["required"] = new JsonArray(
                [.. context.TypeInfo.Properties.Where(property => !property.IsGetNullable && Nullable.GetUnderlyingType(property.PropertyType) is null).Select(property => JsonValue.Create(property.Name))]);
        }
        return schema;
    }
}
