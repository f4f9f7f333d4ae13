using Parquet.Serialization;
using TestRig.Bench.Exporting;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Trials;
using TestRig.Core.Trials;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Exporting;

public class TrialExportTests
{
    private static readonly string _folder = TestFolders.Create().FullName;

    /// <summary>Begun at 18:00 an hour ahead. Limits are those of the sheet of the 4N25: VF at most 1.5 V, CTR at least 20 %, ICEO at most 50 nA.</summary>
    private static readonly TriedPart _part = new(1, SomeTrial.Started, TimeSpan.FromSeconds(0.5), new(
        new(new(0.0098, 1e-5), new(1.15, 0.02), new(0.084, 0.001), new(60e-9, 10e-9)), new(null, null, IsSilent: false, "noise")));

    private static readonly TriedPart _saturated = new(2, SomeTrial.Started, TimeSpan.FromSeconds(0.5), new(
        new(new(0.0098, 1e-5), new(1.15, 0.02), new(2.31, 0.05, AtLeast: true), new(1e-9, 1e-9)), new(null, null, IsSilent: false, "noise")));

    private static readonly TriedPart _skipped = new(3, SomeTrial.Started.AddMinutes(1), TimeSpan.Zero, null);

    private static async Task<TrialJudge> JudgeAsync() => (await SomeTrial.OfAsync(0, [])).Judge;

    [Fact]
    public async Task Each_figure_of_each_part_is_a_row_in_units_that_people_read()
    {
        var file = Path.Combine(_folder, "trial.csv");
        Assert.Equal(11, await RunExport.WriteAsync([_part, _saturated, _skipped], await JudgeAsync(), file, default));
        var lines = await File.ReadAllLinesAsync(file);
        Assert.Equal("Part,Started,TookSeconds,Type,PartVerdict,LedCurrentMilliamperes,Figure,Value,Uncertainty,Bound,Unit,Lowest,Highest,Verdict", lines[0]);
        Assert.Equal(
            [
                "1,2026-03-12T18:00:00.000+01:00,0.5,4N25,violates,9.8,led-forward,1.15,0.04,exact,V,0.9,1.5,conforms",
                "1,2026-03-12T18:00:00.000+01:00,0.5,4N25,violates,9.8,transfer-ratio,8.4,0.2,exact,%,20,,violates",
                "1,2026-03-12T18:00:00.000+01:00,0.5,4N25,violates,9.8,leakage,60,20,exact,nA,,50,not-resolved",
            ],
            lines.Skip(1).Take(5).Where(line => !line.Contains("delay", StringComparison.Ordinal)));
        Assert.StartsWith("1,2026-03-12T18:00:00.000+01:00,0.5,4N25,violates,9.8,on-delay,,,,us,,", lines[3], StringComparison.Ordinal);
        Assert.StartsWith("2,2026-03-12T18:00:00.000+01:00,0.5,4N25,not-resolved,9.8,transfer-ratio,231,10,at-least,%,20,,conforms", lines[7], StringComparison.Ordinal);
        Assert.Equal("3,2026-03-12T18:01:00.000+01:00,0,4N25,skipped,,,,,,,,,", lines[^1]);
    }

    [Fact]
    public async Task A_parquet_file_has_the_same_columns_and_rows()
    {
        var file = Path.Combine(_folder, "trial.parquet");
        Assert.Equal(11, await RunExport.WriteAsync([_part, _saturated, _skipped], await JudgeAsync(), file, default));
        await using var stream = File.OpenRead(file);
        var rows = (await ParquetSerializer.DeserializeUntypedAsync(stream)).Data.ToList();
        Assert.Equal(11, rows.Count);
        Assert.Equal((1L, "transfer-ratio", 8.4, 0.2, "%", 20.0, "violates"), (rows[1]["Part"], rows[1]["Figure"], rows[1]["Value"], rows[1]["Uncertainty"], rows[1]["Unit"], rows[1]["Lowest"], rows[1]["Verdict"]));
        Assert.Equal((3L, "skipped", "4N25"), (rows[10]["Part"], rows[10]["PartVerdict"], rows[10]["Type"]));
        Assert.Null(rows[10].GetValueOrDefault("Value"));
    }
}
