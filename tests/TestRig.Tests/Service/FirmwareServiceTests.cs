namespace TestRig.Tests.Service;

/// <summary>The service, the real firmware in an emulated chip, and an emulated board whose log says what its lines really did.</summary>
public sealed class FirmwareServiceTests
{
    /// <summary>Of the dome card's lines in profiles/dome-drive.yaml, in nanoseconds.</summary>
    private const long LongestOn = 500_000_000;

    [Fact]
    public async Task Whatever_ends_a_soak_its_lines_are_idle_and_the_service_goes_on_with_the_same_run()
    {
        using var bench = EmulatedBench.Start(["OK3=dead"]);
        using var service = ServiceRun.Start($"  dome: {{ adapter: \"{bench.Adapter}\", profile: dome-drive.yaml }}");
        var secret = service.CreateToken("anna", "read+drive");
        long job;
        using (var client = service.Client(secret))
        {
            await service.ArmAsync(client);
            var sweep = await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"sweep"}"""));
            Assert.Contains("5 of 6 channels working, 1 faulty", sweep.GetProperty("words").GetString(), StringComparison.Ordinal);
            job = await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":1000}""");
            await CyclesAsync(client, 1);
        }

        // Ended by its supervisor in the middle of a burst.
        bench.WaitForLines(lines => lines.Contains("=on@", StringComparison.Ordinal));
        Assert.Equal(0, service.End());
        Idle(bench);

        service.StartAgain();
        using (var client = service.Client(secret))
            await CyclesAsync(client, 2);
        // Killed: what is on then ends by the firmware's own rules.
        bench.WaitForLines(lines => lines.Contains("=on@", StringComparison.Ordinal));
        service.Kill();
        Idle(bench);

        service.StartAgain();
        using (var client = service.Client(secret))
        {
            await CyclesAsync(client, 3);
            // Disarmed by somebody at the bench.
            ServiceRun.Command("disarm", service.Configuration, "dome");
            var ended = await ServiceRun.WaitForEndAsync(client, job);
            Assert.Equal("stopped", ended.GetProperty("state").GetString());
            Assert.Contains("disarmed", ended.GetProperty("words").GetString(), StringComparison.Ordinal);
        }
        Idle(bench);

        var on = bench.EndAndReadLines();
        Assert.NotEmpty(on);
        Assert.All(on, line => Assert.InRange(line.To!.Value - line.From, 1, LongestOn));
    }

    [Fact]
    public async Task A_job_without_its_adapter_fails_with_the_remedy_and_begins_no_run()
    {
        using var service = ServiceRun.Start("  dome: { adapter: \"serial:/dev/no-such-port\", profile: dome-drive.yaml }");
        using var client = service.Client(service.CreateToken("anna", "read+drive"));
        await service.ArmAsync(client);
        var gone = await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.GetProperty("adapter").GetString() == "gone");

        var job = await ServiceRun.WaitForEndAsync(client, await ServiceRun.AskForAsync(client, """{"kind":"soak","cycles":3}"""));

        Assert.Equal("serial:/dev/no-such-port", gone.GetProperty("adapterName").GetString());
        Assert.Equal("failed", job.GetProperty("state").GetString());
        Assert.Contains("/dev/no-such-port", job.GetProperty("words").GetString(), StringComparison.Ordinal);
        Assert.False(job.TryGetProperty("run", out _));
        Assert.Equal(0, (await ServiceRun.WaitAsync(client, "/api/runs", _ => true)).GetProperty("runs").GetArrayLength());
    }

    private static async Task CyclesAsync(HttpClient client, long least) =>
        await ServiceRun.WaitAsync(client, "/api/benches/dome", now => now.TryGetProperty("soak", out var soak) && soak.GetProperty("cycles").GetInt64() >= least);

    private static void Idle(EmulatedBench bench) => bench.WaitForLines(lines => !lines.Contains("=on@", StringComparison.Ordinal));
}
