using System.Collections.Immutable;
using System.Text.Json;
using System.Text.Json.Nodes;
using Json.Schema;
using TestRig.Bench.Exercising;
using TestRig.Bench.Reporting;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Tests.Soaking;
using TestRig.Bench.Tests.Storage;
using TestRig.Bench.Tests.Trials;
using TestRig.Bench.Trials;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Reporting;

/// <summary>The published schemas of records, by a validator of its own.</summary>
public class RecordSchemaTests
{
    private static readonly JsonSchema _ofSweeps = JsonSchema.FromText(RunJson.Schema());

    private static readonly JsonSchema _ofSoaks = JsonSchema.FromText(SoakJson.Schema());

    private static readonly JsonSchema _ofTrials = JsonSchema.FromText(TrialJson.Schema());

    /// <summary>Renew them with: testrig runs schema sweep > profiles/testrig-run.schema.json, and the same of soak and trial.</summary>
    [Fact]
    public void The_files_in_the_repository_are_what_the_program_prints()
    {
        Assert.Equal(RunJson.Schema(), File.ReadAllText(Path.Combine(Repository.Root, "profiles", "testrig-run.schema.json")));
        Assert.Equal(SoakJson.Schema(), File.ReadAllText(Path.Combine(Repository.Root, "profiles", "testrig-soak.schema.json")));
        Assert.Equal(TrialJson.Schema(), File.ReadAllText(Path.Combine(Repository.Root, "profiles", "testrig-trial.schema.json")));
    }

    [Fact]
    public void They_are_schemas_by_the_rules_of_2020_12()
    {
        foreach (var text in new[] { RunJson.Schema(), SoakJson.Schema(), TrialJson.Schema() })
        {
            using var document = JsonDocument.Parse(text);
            Assert.True(MetaSchemas.Draft202012.Evaluate(document.RootElement).IsValid);
        }
    }

    /// <summary>Sweeps of every kind: healthy and faulty, in motion and not, once and repeated, together, stopped, with multiplexers.</summary>
    [Theory]
    [InlineData("dome-drive", false, 1)]
    [InlineData("dome-drive", false, 1, "OK3=dead")]
    [InlineData("dome-drive", false, 5, "OK2=intermittent:0.4")]
    [InlineData("dome-drive", true, 1, "home-switch=bouncing")]
    [InlineData("dome-drive", true, 2, "motor:rotate-left=dead")]
    [InlineData("dome-drive", false, 1, "emergency-stop=active")]
    [InlineData("dome-drive", false, 1, "lead:U3.16=open", "U4:6=holds-low")]
    [InlineData("carillon", false, 1, "M1:S0=stuck-low")]
    [InlineData("tide-gauge", false, 1, "K4=bouncing")]
    public async Task Every_record_of_a_sweep_conforms(string profile, bool motion, int repeats, params string[] faults)
    {
        var board = DemoBoards.Load(profile);
        var options = new SweepOptions(motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true) { Repeats = repeats };
        var result = await new Sweep(board, FaultyBench.Of(board, 1, faults, motion), options, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(Unwatched.Sweep, CancellationToken.None);
        var plots = ImmutableDictionary<string, string>.Empty.Add(board.Channels[0].Name, "waveforms/some.png");
        AssertConforms(_ofSweeps, RunJson.Write(result, "p.yaml", plots));
    }

    [Fact]
    public async Task Every_record_of_a_soak_conforms()
    {
        await using var bench = await SoakBench.CreateAsync(["OK2=intermittent:0.2", "OK3=drifting:0.9"], profile: "dome-drive");
        var result = await bench.SoakAsync(SoakBench.Cycled(60));
        AssertConforms(_ofSoaks, SoakJson.Write(result, result.Ending));
        AssertConforms(_ofSoaks, SoakJson.Write(result, null));
    }

    /// <summary>Trials of every kind: good and bad parts, what cannot be measured, what was skipped, batches that tell of the delivery, none at all, with notes.</summary>
    [Theory]
    [InlineData(0, 0)]
    [InlineData(1, 1)]
    [InlineData(1, 0, "1=empty")]
    [InlineData(9, 3, "2=ctr:0.2x", "4=leakage:1uA,slow:3x", "5=dead", "6=empty", "7=type:4N35", "8=ctr:5x")]
    public async Task Every_record_of_a_trial_conforms(int parts, int skipped, params string[] contents)
    {
        var trial = await SomeTrial.OfAsync(parts, contents, skipped);
        AssertConforms(_ofTrials, TrialJson.Write(trial.Result(), "batch", "p.yaml", BoardRecord.None));
        AssertConforms(_ofTrials, TrialJson.Write(trial.Result("Cancelled."), "batch", "p.yaml", new("1984-007", [SomeRun.Note("seen")])));
    }

    [Theory]
    [InlineData("$.format", "testrig-trial/2")]
    [InlineData("$.emptySocket_v", "much")]
    [InlineData("$.verdict", "perhaps")]
    [InlineData("$.parts[0].figures[1].figure", "weight")]
    [InlineData("$.parts[0].figures[1].uncertainty", "small")]
    [InlineData("$.skipped[0]", "three")]
    public async Task A_value_that_no_record_of_a_trial_has_does_not_conform(string path, string value)
    {
        var record = JsonNode.Parse(TrialJson.Write((await SomeTrial.OfAsync(2, [], skipped: 2)).Result(), "batch", "p.yaml", BoardRecord.None))!;
        AssertConforms(_ofTrials, record.ToJsonString());
        Place(record, path).ReplaceWith(value);
        Assert.False(Conforms(_ofTrials, record.ToJsonString()));
    }

    [Theory]
    [InlineData("$.run")]
    [InlineData("$.type")]
    [InlineData("$.parts[0].ledCurrent_a")]
    [InlineData("$.parts[0].figures[1].verdict")]
    public async Task A_record_of_a_trial_without_a_fixed_key_does_not_conform(string path)
    {
        var record = JsonNode.Parse(TrialJson.Write((await SomeTrial.OfAsync(1, [])).Result(), "batch", "p.yaml", BoardRecord.None))!;
        var place = Place(record, path);
        place.Parent!.AsObject().Remove(place.GetPropertyName());
        Assert.False(Conforms(_ofTrials, record.ToJsonString()));
    }

    [Theory]
    [InlineData("$.format", "testrig-run/2")]
    [InlineData("$.mode", "dance")]
    [InlineData("$.repeats", "two")]
    [InlineData("$.channels[0].condition", "tired")]
    [InlineData("$.channels[0].findings[0].verdict", "perhaps")]
    public void A_value_that_no_record_has_does_not_conform(string path, string value)
    {
        var record = JsonNode.Parse(RunJson.Write(SomeSweep.Result(), "p.yaml", ImmutableDictionary<string, string>.Empty))!;
        AssertConforms(_ofSweeps, record.ToJsonString());
        Place(record, path).ReplaceWith(value);
        Assert.False(Conforms(_ofSweeps, record.ToJsonString()));
    }

    [Theory]
    [InlineData("$.board")]
    [InlineData("$.adapter.tick_ps")]
    [InlineData("$.channels[0].findings[0].testPoint")]
    public void A_record_without_a_fixed_key_does_not_conform(string path)
    {
        var record = JsonNode.Parse(RunJson.Write(SomeSweep.Result(), "p.yaml", ImmutableDictionary<string, string>.Empty))!;
        var place = Place(record, path);
        place.Parent!.AsObject().Remove(place.GetPropertyName());
        Assert.False(Conforms(_ofSweeps, record.ToJsonString()));
    }

    private static JsonNode Place(JsonNode record, string path) =>
        path[2..].Split('.', '[').Aggregate(record, (node, step) => step.EndsWith(']') ? node[int.Parse(step[..^1], System.Globalization.CultureInfo.InvariantCulture)]! : node[step]!);

    private static bool Conforms(JsonSchema schema, string record)
    {
        using var document = JsonDocument.Parse(record);
        return schema.Evaluate(document.RootElement).IsValid;
    }

    private static void AssertConforms(JsonSchema schema, string record)
    {
        using var document = JsonDocument.Parse(record);
        var found = schema.Evaluate(document.RootElement, new EvaluationOptions { OutputFormat = OutputFormat.List });
        Assert.True(found.IsValid, string.Join('\n', found.Details?.Where(detail => detail.Errors is not null).Select(detail => $"{detail.InstanceLocation}: {string.Join("; ", detail.Errors!.Values)}") ?? []));
    }
}
