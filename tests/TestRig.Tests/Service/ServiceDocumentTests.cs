using System.Diagnostics;
using System.Globalization;
using System.Text.Json;
using System.Text.RegularExpressions;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Service;

/// <summary>What the service's own documents show runs as it stands there, and what they name is there.</summary>
public sealed partial class ServiceDocumentTests
{
    private const string Example = "profiles/benches/workshop.yaml";

    [Fact]
    public async Task What_the_document_shows_runs_one_line_after_the_other()
    {
        var document = File.ReadAllText(Path.Combine(Repository.Root, "tools", "service", "README.md"));
        var lines = ProgramLine().Matches(document).Select(match => match.Groups[1].Value).ToList();
        Assert.Equal(["token create", "arm", "serve"], lines.Select(line => line[..line.IndexOf($" {Example}", StringComparison.Ordinal)]));
        var folder = TestFolders.Create().FullName;
        CopyProfiles(folder);
        // Another service may have its port; and nobody's evening is waited for.
        var file = Path.Combine(folder, Example);
        File.WriteAllText(file, File.ReadAllText(file).Replace(":8470", ":0", StringComparison.Ordinal));
        string[] Words(string line) => [.. line.Split(' ').Select(word => word == Example ? file : word)];

        var token = Secret().Match(ServiceRun.Command(Words(lines[0]))).Value;
        ServiceRun.Command(Words(lines[1]));
        using var service = ProgramRun.Start(Words(lines[2]));
        service.WaitFor("Listening on ");
        var address = Address().Match(service.Output).Value;
        using var client = new HttpClient { BaseAddress = new(address) };
        client.DefaultRequestHeaders.Authorization = new("Bearer", token);
        await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("armed", out _));

        var requests = Request().Matches(document).Select(match => match.Value).ToList();
        Assert.Equal(5, requests.Count);
        foreach (var request in requests)
        {
            using var shell = Process.Start(new ProcessStartInfo("sh", ["-c", request.Replace("http://127.0.0.1:8470", address, StringComparison.Ordinal)])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
                Environment = { ["TOKEN"] = token },
            })!;
            var (said, problem) = (await shell.StandardOutput.ReadToEndAsync(), await shell.StandardError.ReadToEndAsync());
            await shell.WaitForExitAsync();
            Assert.True(shell.ExitCode == 0 && said.Length > 0, $"{request}: {shell.ExitCode}\n{said}\n{problem}");
        }
    }

    [Fact]
    public async Task Metrics_count_what_the_benches_did()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);
        await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"sweep"}"""));
        await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":3}"""));

        var metrics = await client.GetStringAsync("/metrics");

        // One sweep and three cycles of a soak, in each of which isolator OK3 is dead.
        Assert.Equal(4, Value(metrics, "testrig_cycles_total", "bench=\"dome\""));
        Assert.Equal(4, Value(metrics, "testrig_cycles_failing_total", "bench=\"dome\""));
        Assert.Equal(4, Value(metrics, "testrig_failures_total", "channel=\"shutter-open\""));
        Assert.Null(Value(metrics, "testrig_failures_total", "channel=\"rotate-left\""));
        // Beyond a 4N25 nothing is faster than its 2 µs of fall time, and the profile's own limit is 25 µs at most (Vishay 4N25, switching times; profiles/dome-drive.yaml).
        Assert.InRange(Value(metrics, "testrig_delay_worst_seconds", "channel=\"rotate-left\"")!.Value, 1e-7, 1e-3);
    }

    [Fact]
    public async Task The_interface_is_described_and_every_operation_that_drives_lines_says_that_it_may_be_refused()
    {
        using var service = ServiceRun.Start();
        using var client = service.Client(null);
        using var document = JsonDocument.Parse(await client.GetStringAsync("/openapi/testrig.json"));
        var paths = document.RootElement.GetProperty("paths");

        string[] expected = ["/api/benches", "/api/benches/{bench}", "/api/benches/{bench}/live", "/api/benches/{bench}/jobs", "/api/jobs", "/api/jobs/{job}", "/api/jobs/{job}/stop", "/api/runs", "/api/runs/{run}", "/health/live", "/health/ready"];
        Assert.Empty(expected.Except(paths.EnumerateObject().Select(path => path.Name)));
        Assert.DoesNotContain(paths.EnumerateObject(), path => !path.Name.StartsWith("/api/", StringComparison.Ordinal) && !path.Name.StartsWith("/health/", StringComparison.Ordinal));
        foreach (var path in paths.EnumerateObject())
        {
            foreach (var operation in path.Value.EnumerateObject())
            {
                Assert.True(operation.Value.TryGetProperty("summary", out _), $"{operation.Name} {path.Name} has no summary");
                if (operation.Name == "post")
                    Assert.True(operation.Value.GetProperty("responses").TryGetProperty("409", out _), $"{path.Name} does not say that it may be refused");
            }
        }
    }

    private static double? Value(string metrics, string name, string label) =>
        metrics.Split('\n').Where(line => line.StartsWith(name + "{", StringComparison.Ordinal) && line.Contains(label, StringComparison.Ordinal))
            .Select(line => (double?)double.Parse(line.Split(' ')[1], CultureInfo.InvariantCulture)).SingleOrDefault();

    private static void CopyProfiles(string folder)
    {
        foreach (var profile in Directory.GetFiles(Path.Combine(Repository.Root, "profiles"), "*.yaml").Append(Path.Combine(Repository.Root, Example)))
        {
            var copy = Path.Combine(folder, Path.GetRelativePath(Repository.Root, profile));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(profile, copy);
        }
    }

    [GeneratedRegex(@"^testrig (.+)$", RegexOptions.Multiline)]
    private static partial Regex ProgramLine();

    [GeneratedRegex("^curl .+$", RegexOptions.Multiline)]
    private static partial Regex Request();

    [GeneratedRegex("testrig-[A-Za-z0-9_-]{43}")]
    private static partial Regex Secret();

    [GeneratedRegex(@"http://127\.0\.0\.1:\d+")]
    private static partial Regex Address();
}
