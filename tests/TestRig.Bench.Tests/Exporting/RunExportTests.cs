using System.Globalization;
using CsvHelper;
using Parquet.Serialization;
using TestRig.Bench.Exporting;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Soaking;
using TestRig.Core.Judging;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Exporting;

public class RunExportTests
{
    private static readonly string _folder = TestFolders.Create().FullName;

    private static async IAsyncEnumerable<CycleRecord> Stored()
    {
        yield return Cycles.Of(1, delay: 3_210_000);
        await Task.Yield();
        yield return Cycles.Of(2, Condition.StuckLow);
    }

    [Fact]
    public async Task A_table_of_comma_separated_values_has_every_figure_in_units_that_people_read()
    {
        var file = Path.Combine(_folder, "run.csv");
        Assert.Equal(4, await RunExport.WriteAsync(Stored(), file, default));
        Assert.Equal(
            [
                "Cycle,Started,TookSeconds,Outcome,Channel,Condition,TestPoint,Expected,Figure,Value,Unit,Lowest,Highest",
                "1,2026-03-12T18:00:00.000+01:00,36,complete,one,working,OK1.5,falls,delay,3.21,us,0,25",
                "1,2026-03-12T18:00:00.000+01:00,36,complete,two,working,,,,,,,",
                "2,2026-03-12T18:00:36.000+01:00,36,complete,one,stuck-low,,,,,,,",
                "2,2026-03-12T18:00:36.000+01:00,36,complete,two,working,,,,,,,",
            ],
            await File.ReadAllLinesAsync(file));
    }

    [Fact]
    public async Task A_parquet_file_has_the_same_rows()
    {
        var file = Path.Combine(_folder, "run.parquet");
        Assert.Equal(4, await RunExport.WriteAsync(Stored(), file, default));
        await using var stream = File.OpenRead(file);
        var rows = (await ParquetSerializer.DeserializeUntypedAsync(stream)).Data;
        using var text = new StringWriter(CultureInfo.InvariantCulture);
        await using (var csv = new CsvWriter(text, CultureInfo.InvariantCulture))
        {
            foreach (var row in rows)
            {
                foreach (var column in (string[])["Cycle", "Channel", "Condition", "TestPoint", "Value", "Unit", "Highest"])
                    csv.WriteField(row.TryGetValue(column, out var value) ? value : null);
                await csv.NextRecordAsync();
            }
        }
        Assert.Equal("1,one,working,OK1.5,3.21,us,25\r\n1,two,working,,,,\r\n2,one,stuck-low,,,,\r\n2,two,working,,,,\r\n", text.ToString());
    }

    [Fact]
    public async Task A_table_that_cannot_be_written_leaves_the_one_that_is_there()
    {
        var file = Path.Combine(_folder, "kept.csv");
        await File.WriteAllTextAsync(file, "older");
        await Assert.ThrowsAsync<RunStorageException>(() => RunExport.WriteAsync(Broken(), file, default));
        Assert.Equal("older", await File.ReadAllTextAsync(file));
        Assert.False(File.Exists(file + ".part"));
        var nowhere = await Assert.ThrowsAsync<RunStorageException>(() => RunExport.WriteAsync(Stored(), Path.Combine(_folder, "missing", "run.csv"), default));
        Assert.Contains("--to", nowhere.Message, StringComparison.Ordinal);

        static async IAsyncEnumerable<CycleRecord> Broken()
        {
            yield return Cycles.Of(1, delay: 5);
            await Task.Yield();
            throw new RunStorageException("The store went away.");
        }
    }

    [Theory]
    [InlineData("night.csv", true)]
    [InlineData("NIGHT.PARQUET", true)]
    [InlineData("night.xlsx", false)]
    [InlineData("csv", false)]
    public void A_files_ending_says_how_it_is_written(string file, bool can) => Assert.Equal(can, RunExport.CanWrite(file));
}
