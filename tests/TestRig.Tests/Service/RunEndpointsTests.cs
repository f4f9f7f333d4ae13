using System.Buffers.Binary;
using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.Extensions.DependencyInjection;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Files;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>What other programs ask of kept runs over HTTP.</summary>
[Collection(ServedRunsGroup.Name)]
public sealed class RunEndpointsTests(ServedRuns served)
{
    private const string Slow = "shutter-open";

    [Fact]
    public async Task Runs_are_listed_with_the_latest_first_as_the_program_itself_lists_them()
    {
        using var list = ProgramRun.ToEnd("runs", "list", "--store", served.StoreFile, "--json", "-").WaitForEnd(0);
        var answer = await served.Client.GetAsync("/api/runs");
        Assert.Equal("application/json", answer.Content.Headers.ContentType!.MediaType);
        Assert.Equal(list.Output.Trim(), await answer.Content.ReadAsStringAsync());
        Assert.Equal([served.OtherBoard, served.Trial, served.Soak, served.Repaired, served.Faulty], await NamesAsync("/api/runs"));
    }

    [Fact]
    public async Task Runs_are_found_by_what_is_asked_for()
    {
        Assert.Equal([served.Faulty], await NamesAsync("/api/runs?condition=slow"));
        Assert.Equal([served.Soak], await NamesAsync("/api/runs?condition=dead"));
        Assert.Empty(await NamesAsync("/api/runs?condition=stuck-high"));
        Assert.Equal([served.OtherBoard], await NamesAsync("/api/runs?board=CARILLON"));
        Assert.Equal([served.Repaired, served.Faulty], await NamesAsync("/api/runs?serial=17"));
        Assert.Equal([served.Trial], await NamesAsync("/api/runs?kind=trial"));
        Assert.Equal([served.OtherBoard, served.Repaired], await NamesAsync("/api/runs?failed=false"));
        Assert.Equal([served.Repaired], await NamesAsync("/api/runs?board=dome&kind=sweep&failed=false"));
        var today = DateOnly.FromDateTime(DateTime.Now);
        Assert.Equal(5, (await NamesAsync($"/api/runs?since={Day(today.AddDays(-1))}&until={Day(today)}")).Count);
        Assert.Empty(await NamesAsync($"/api/runs?since={Day(today.AddDays(2))}"));
        Assert.Empty(await NamesAsync($"/api/runs?until={Day(today.AddDays(-2))}"));
        Assert.Empty(await NamesAsync("/api/runs?until=2026-01-01T00:00:00%2B01:00"));
        // As a form sends what was left empty.
        Assert.Equal(5, (await NamesAsync("/api/runs?board=&condition=&kind=&failed=&since=&until=&serial=")).Count);
    }

    [Fact]
    public async Task A_list_is_read_page_by_page()
    {
        var seen = new List<string>();
        for (string? next = "/api/runs?limit=2"; next is not null;)
        {
            var answer = await served.Client.GetAsync(next);
            var names = Names(await JsonOfAsync(answer));
            Assert.InRange(names.Count, 1, 2);
            seen.AddRange(names);
            next = answer.Headers.TryGetValues("Link", out var links) ? links.Single().Split('>')[0].TrimStart('<') : null;
        }
        Assert.Equal([served.OtherBoard, served.Trial, served.Soak, served.Repaired, served.Faulty], seen);
    }

    [Theory]
    [InlineData("/api/runs?condition=tired", "'condition' is 'tired'", "stuck-high")]
    [InlineData("/api/runs?kind=walk", "'kind' is 'walk'", "soak")]
    [InlineData("/api/runs?failed=perhaps", "'failed'", "true or false")]
    [InlineData("/api/runs?since=yesterday", "'since' is 'yesterday'", "2026-03-12")]
    [InlineData("/api/runs?limit=501", "'limit' is '501'", "1 to 500")]
    [InlineData("/api/runs?limit=0", "'limit' is '0'", "1 to 500")]
    [InlineData("/api/runs?before=never", "'before' is 'never'", "first page")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?from=2ms&to=1ms", "must lie within it", "'from' first")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?from=1ms&to=9s", "must lie within it", "133 ms")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?from=now", "'from'", "250 ms")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?width=279", "'width' is '279'", "280 to")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?width=100000", "'width'", "280 to")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?width=8000&height=8000", "pixels", "smaller")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?height=100", "'height' is '100'", "whole number")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?density=4", "'density'", "1 to 3")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?cycle=-1", "'cycle'", "whole number")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?overlay=TRIAL", "trial of parts", "cannot be laid over")]
    [InlineData("/api/runs/FAULTY/captures/shutter-open.exe", "'form' is 'exe'", "parquet")]
    [InlineData("/api/runs/FAULTY/compared-with/FAULTY", "with itself", "another")]
    [InlineData("/api/runs/FAULTY/compared-with/OTHER", "no channel in common", "compare")]
    public async Task What_cannot_be_understood_is_named_with_the_remedy(string path, string what, string remedy) => await RefusedAsync(path, HttpStatusCode.BadRequest, what, remedy);

    [Theory]
    [InlineData("/api/runs/none", "no run 'none'", "list of runs")]
    [InlineData("/api/runs/FAULTY/channels/door/waveform.png", "no channel 'door'", "shutter-open")]
    [InlineData("/api/runs/FAULTY/channels/door/night.png", "no channel 'door'", "shutter-open")]
    [InlineData("/api/runs/REPAIRED/channels/shutter-open/night.png", "measured more than once", "shutter-open")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/bounce.png", "was seen to bounce", "shutter-open")]
    [InlineData("/api/runs/SOAK/channels/shutter-open/waveform.png?cycle=4000", "cycle 4000", "the nearest that are")]
    [InlineData("/api/runs/SOAK/findings?cycle=4000", "cycle 4000", "kept")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?overlay=nothing", "no channel 'nothing'", "laid over")]
    [InlineData("/api/runs/TRIAL/map.png", "trial of parts", "record")]
    [InlineData("/api/runs/FAULTY/compared-with/none", "no run 'none'", "list of runs")]
    public async Task What_is_not_on_record_is_said_to_be_so(string path, string what, string remedy) => await RefusedAsync(path, HttpStatusCode.NotFound, what, remedy);

    [Theory]
    [InlineData("FAULTY", "testrig-run/1")]
    [InlineData("SOAK", "testrig-soak/1")]
    [InlineData("TRIAL", "testrig-trial/1")]
    public async Task The_record_of_a_run_is_that_of_the_program_itself(string run, string format)
    {
        using var show = ProgramRun.ToEnd("runs", "show", Named(run), "--store", served.StoreFile, "--json", "-").WaitForEnd(0);
        var told = await served.Client.GetStringAsync(Named($"/api/runs/{run}"));
        Assert.Equal(show.Output.Trim(), told.Trim());
        Assert.Equal(format, JsonDocument.Parse(told).RootElement.GetProperty("format").GetString());
    }

    [Fact]
    public async Task The_findings_of_a_failing_cycle_are_those_of_the_fault_that_was_there()
    {
        var kept = (await JsonOfAsync(await served.Client.GetAsync($"/api/runs/{served.Soak}/captures"))).GetProperty("cycles").EnumerateArray().ToList();
        var failing = kept.First(cycle => cycle.GetProperty("reason").GetString() == "failure").GetProperty("cycle").GetInt64();
        var first = kept.First(cycle => cycle.GetProperty("reason").GetString() == "first").GetProperty("cycle").GetInt64();
        Assert.Equal("dead", await ConditionAsync(failing));
        Assert.Equal("working", await ConditionAsync(first));
        async Task<string> ConditionAsync(long cycle)
        {
            var judged = await JsonOfAsync(await served.Client.GetAsync($"/api/runs/{served.Soak}/findings?cycle={cycle}"));
            var one = Assert.Single(judged.GetProperty("cycles").EnumerateArray());
            Assert.Equal(cycle, one.GetProperty("cycle").GetInt64());
            return one.GetProperty("channels").EnumerateArray().Single(channel => channel.GetProperty("name").GetString() == Slow).GetProperty("condition").GetString()!;
        }
    }

    [Fact]
    public async Task Every_round_of_a_sweep_is_judged_again()
    {
        var judged = await JsonOfAsync(await served.Client.GetAsync($"/api/runs/{served.Faulty}/findings"));
        Assert.Equal([1, 2, 3], judged.GetProperty("cycles").EnumerateArray().Select(cycle => cycle.GetProperty("cycle").GetInt64()));
    }

    [Fact]
    public async Task A_capture_is_a_dump_that_another_reader_understands()
    {
        var answer = await served.Client.GetAsync($"/api/runs/{served.Faulty}/captures/{Slow}.vcd");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("attachment", answer.Content.Headers.ContentDisposition!.DispositionType);
        Assert.Equal($"{served.Faulty}-{Slow}.vcd", answer.Content.Headers.ContentDisposition.FileName!.Trim('"'));
        var dump = VcdReading.Of(await answer.Content.ReadAsStringAsync());
        // Between two levels that were seen, there may be stretches in which nobody looked.
        long LastRise(string point)
        {
            var seen = dump.Variables.Single(variable => variable.Type == "wire" && variable.Name == point).Values.Where(change => change.Value is "0" or "1").ToList();
            return seen.Zip(seen.Skip(1)).Last(pair => (pair.First.Value, pair.Second.Value) == ("0", "1")).Second.At;
        }

        Assert.Equal("1ps", dump.Timescale);
        // The profile permits the isolator 184 µs to release, and it was made three times as slow as it is.
        Assert.InRange(LastRise("OK3.5") - LastRise("U4.14"), 184_000_000, 500_000_000);
    }

    [Fact]
    public async Task A_capture_of_a_cycle_is_a_table()
    {
        var csv = await served.Client.GetAsync($"/api/runs/{served.Soak}/captures/{Slow}.csv?cycle=1");
        Assert.Equal("text/csv", csv.Content.Headers.ContentType!.MediaType);
        Assert.Equal($"{served.Soak}-cycle-1-{Slow}.csv", csv.Content.Headers.ContentDisposition!.FileName!.Trim('"'));
        Assert.StartsWith("time [us],J1.2,J1.4,J1.6", await csv.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        var parquet = await served.Client.GetByteArrayAsync($"/api/runs/{served.Soak}/captures/{Slow}.parquet?cycle=1");
        // The magic number of Parquet stands at both ends.
        Assert.Equal("PAR1"u8, parquet.AsSpan(0, 4));
        Assert.Equal("PAR1"u8, parquet.AsSpan(parquet.Length - 4));
    }

    [Theory]
    [InlineData("waveform.png?width=1280&height=900", 1280, 900)]
    [InlineData("waveform.png?width=340&height=600", 340, 600)]
    [InlineData("waveform.png?width=340&height=600&density=3", 1020, 1800)]
    [InlineData("waveform.png?width=1200&height=800&density=2&from=4.9ms&to=5.2ms&overlay=shutter-close", 2400, 1600)]
    [InlineData("waveform.png?cycle=2&width=700&height=700", 700, 700)]
    public async Task A_picture_is_as_large_as_was_asked_for(string picture, int width, int height) => Assert.Equal((width, height), SizeOf(await PngAsync($"/api/runs/{served.Faulty}/channels/{Slow}/{picture}")));

    [Fact]
    public async Task Each_stretch_of_time_and_each_thing_laid_over_is_another_picture()
    {
        string[] queries = ["", "?from=4.9ms&to=5.2ms", "?from=4.9ms&to=5.1ms", "?from=0&to=5.2ms", "?overlay=shutter-close", $"?overlay={served.Repaired}"];
        var pictures = new HashSet<string>();
        foreach (var query in queries)
            Assert.True(pictures.Add(Convert.ToHexString(System.Security.Cryptography.SHA256.HashData(await PngAsync($"/api/runs/{served.Faulty}/channels/{Slow}/waveform.png{query}")))), query);
        Assert.NotEqual(await PngAsync($"/api/runs/{served.Soak}/channels/{Slow}/waveform.png"), await PngAsync($"/api/runs/{served.Soak}/channels/{Slow}/waveform.png?cycle=1"));
    }

    [Theory]
    [InlineData("FAULTY/channels/shutter-open/night.png")]
    [InlineData("SOAK/channels/shutter-open/night.png")]
    [InlineData("SOAK/map.png")]
    [InlineData("FAULTY/map.png?cycle=3")]
    public async Task There_are_pictures_of_the_run_as_a_whole(string picture) => Assert.True(SizeOf(await PngAsync(Named($"/api/runs/{picture}"))).Width >= 1200);

    [Fact]
    public async Task Who_has_a_picture_of_an_ended_run_is_not_sent_it_again()
    {
        var path = $"/api/runs/{served.Faulty}/channels/{Slow}/waveform.png?width=400";
        var first = await served.Client.GetAsync(path);
        Assert.True(first.Headers.CacheControl is { Private: true, MaxAge: { TotalHours: >= 1 } });
        using var again = new HttpRequestMessage(HttpMethod.Get, path);
        again.Headers.IfNoneMatch.Add(first.Headers.ETag!);
        Assert.Equal(HttpStatusCode.NotModified, (await served.Client.SendAsync(again)).StatusCode);
        using var other = new HttpRequestMessage(HttpMethod.Get, path + "&from=1ms");
        other.Headers.IfNoneMatch.Add(first.Headers.ETag!);
        Assert.Equal(HttpStatusCode.OK, (await served.Client.SendAsync(other)).StatusCode);
        // What went wrong may be right the next time.
        var refused = await served.Client.GetAsync(path + "&from=9s");
        Assert.True(refused.Headers.CacheControl is { NoStore: true });
        Assert.Null(refused.Headers.ETag);
    }

    [Fact]
    public async Task Two_runs_are_compared_with_the_earlier_one_as_the_one_before()
    {
        using var compare = ProgramRun.ToEnd("compare", served.Faulty, served.Repaired, "--store", served.StoreFile, "--json", "-").WaitForEnd(0);
        foreach (var (run, other) in new[] { (served.Faulty, served.Repaired), (served.Repaired, served.Faulty) })
            Assert.Equal(compare.Output.Trim(), await served.Client.GetStringAsync($"/api/runs/{run}/compared-with/{other}"));
    }

    /// <summary>Written into the request as it stands: a client library would tidy it up.</summary>
    [Theory]
    [InlineData("/api/runs/../../STORE")]
    [InlineData("/api/runs/..%2f..%2fSTORE")]
    [InlineData("/api/runs/%2e%2e/%2e%2e/STORE")]
    [InlineData("/api/runs/%2FSTORE")]
    [InlineData("/api/runs/STORE")]
    [InlineData("/api/runs/FAULTY/captures/..%2f..%2fruns.db.vcd")]
    [InlineData("/api/runs/FAULTY/captures/%2Fetc%2Fpasswd.csv")]
    [InlineData("/api/runs/FAULTY/captures/..%5c..%5cruns.vcd")]
    [InlineData("/api/runs/FAULTY/channels/..%2f..%2fmap.png/waveform.png")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open%00/waveform.png")]
    [InlineData("/api/runs/FAULTY/channels/shutter-open/waveform.png?overlay=../../STORE")]
    [InlineData("/api/runs/FAULTY%00")]
    [InlineData("/assets/..%2ftestrig.dll")]
    [InlineData("/assets/%2e%2e/testrig.dll")]
    [InlineData("/runs/..%2f..%2fSTORE")]
    public async Task No_path_is_the_name_of_a_file(string path)
    {
        var answer = await AskAsync(Named(path).Replace("STORE", Uri.EscapeDataString(served.StoreFile).Replace("%2F", "%2f", StringComparison.Ordinal), StringComparison.Ordinal));
        Assert.Matches("^HTTP/1.1 (404|400) ", answer);
        // What a store's file begins with, and what it is beside.
        Assert.DoesNotContain("SQLite format 3", answer, StringComparison.Ordinal);
        Assert.DoesNotContain("root:", answer, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_store_that_does_not_answer_is_told_with_when_to_ask_again()
    {
        var file = Path.Combine(TestFolders.Create().FullName, "runs.db");
        await using var server = ServedRuns.Build(await RunStores.OpenAsync(file, CancellationToken.None));
        await server.StartAsync();
        using var client = new HttpClient { BaseAddress = new(server.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.Single()) };
        Assert.Equal(HttpStatusCode.OK, (await client.GetAsync("/api/runs")).StatusCode);
        foreach (var part in Directory.GetFiles(Path.GetDirectoryName(file)!))
            await File.WriteAllBytesAsync(part, Encoding.ASCII.GetBytes(new string('?', 8192)));
        foreach (var path in (string[])["/api/runs", "/api/runs/some", "/runs"])
        {
            var answer = await client.GetAsync(path);
            Assert.Equal(HttpStatusCode.ServiceUnavailable, answer.StatusCode);
            Assert.True(answer.Headers.RetryAfter is { Delta: { TotalSeconds: > 0 } });
        }
    }

    [Fact]
    public async Task Many_that_ask_at_once_all_get_their_picture()
    {
        var pictures = await Task.WhenAll(Enumerable.Range(0, 40).Select(number => PngAsync($"/api/runs/{served.Faulty}/channels/{Slow}/waveform.png?width={300 + number}&height=500")));
        Assert.Equal(Enumerable.Range(300, 40), pictures.Select(picture => SizeOf(picture).Width));
    }

    private string Named(string text) => text
        .Replace("FAULTY", served.Faulty, StringComparison.Ordinal).Replace("REPAIRED", served.Repaired, StringComparison.Ordinal).Replace("SOAK", served.Soak, StringComparison.Ordinal)
        .Replace("TRIAL", served.Trial, StringComparison.Ordinal).Replace("OTHER", served.OtherBoard, StringComparison.Ordinal);

    private async Task RefusedAsync(string path, HttpStatusCode status, string what, string remedy)
    {
        var answer = await served.Client.GetAsync(Named(path));
        Assert.Equal(status, answer.StatusCode);
        // RFC 9457, 3.
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
        var detail = JsonDocument.Parse(await answer.Content.ReadAsStringAsync()).RootElement.GetProperty("detail").GetString()!;
        Assert.Contains(what, detail, StringComparison.Ordinal);
        Assert.Contains(remedy, detail, StringComparison.Ordinal);
        Assert.DoesNotContain(served.Folder, detail, StringComparison.Ordinal);
    }

    private async Task<List<string>> NamesAsync(string path) => Names(await JsonOfAsync(await served.Client.GetAsync(path)));

    private static List<string> Names(JsonElement list) => [.. list.GetProperty("runs").EnumerateArray().Select(run => run.GetProperty("name").GetString()!)];

    private static async Task<JsonElement> JsonOfAsync(HttpResponseMessage answer)
    {
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        return JsonDocument.Parse(await answer.Content.ReadAsStringAsync()).RootElement;
    }

    private async Task<byte[]> PngAsync(string path)
    {
        var answer = await served.Client.GetAsync(path);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal(MediaTypeHeaderValue.Parse("image/png"), answer.Content.Headers.ContentType);
        return await answer.Content.ReadAsByteArrayAsync();
    }

    /// <summary>The image header of PNG (third edition, 11.2.1) begins with width and height, four bytes each.</summary>
    internal static (int Width, int Height) SizeOf(byte[] png) => (BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(16)), BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(20)));

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <returns>All of the answer.</returns>
    private async Task<string> AskAsync(string path)
    {
        using var connection = new System.Net.Sockets.TcpClient();
        await connection.ConnectAsync(served.Address.Host, served.Address.Port);
        await using var stream = connection.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes($"GET {path} HTTP/1.1\r\nHost: {served.Address.Authority}\r\nConnection: close\r\n\r\n"));
        using var reader = new StreamReader(stream, Encoding.Latin1);
        return await reader.ReadToEndAsync();
    }
}
