using System.Globalization;
using System.Text.Json;

namespace TestRig.Tests.Service;

/// <summary>Soaks that nobody asks for when they are due.</summary>
public sealed class ScheduleTests
{
    [Fact]
    public async Task A_soak_that_is_due_begins_on_an_armed_bench_once_however_often_the_service_starts()
    {
        using var service = ServiceRun.Start();
        var secret = service.CreateToken("anna", "read");
        using (var client = service.Client(secret))
            await service.ArmAsync(client);
        Assert.Equal(0, service.End());
        ScheduleNow(service, "soak-cycles: 3");

        service.StartAgain();
        using (var client = service.Client(secret))
        {
            var job = (await ServiceRun.WaitAsync(client, "/api/jobs", jobs => jobs.GetArrayLength() == 1 && State(jobs[0]) == "done"))[0];
            Assert.StartsWith("schedule ", job.GetProperty("by").GetString(), StringComparison.Ordinal);
            Assert.Contains("in 3 cycles", job.GetProperty("words").GetString(), StringComparison.Ordinal);
        }
        Assert.Equal(0, service.End());
        service.StartAgain();
        using var later = service.Client(secret);
        await ServiceRun.WaitAsync(later, "/api/benches/dome", now => now.TryGetProperty("armed", out _));
        Assert.Equal(1, (await ServiceRun.WaitAsync(later, "/api/jobs", _ => true)).GetArrayLength());
    }

    [Fact]
    public async Task A_soak_that_is_due_on_a_bench_that_is_not_armed_is_refused_on_record_and_does_not_begin_when_it_is_armed_later()
    {
        using var service = ServiceRun.Start();
        var secret = service.CreateToken("anna", "read");
        Assert.Equal(0, service.End());
        ScheduleNow(service, "soak-cycles: 3");

        service.StartAgain();
        using var client = service.Client(secret);
        var job = (await ServiceRun.WaitAsync(client, "/api/jobs", jobs => jobs.GetArrayLength() == 1))[0];
        await service.ArmAsync(client);

        Assert.Equal("refused", State(job));
        Assert.Contains("is not armed", job.GetProperty("words").GetString(), StringComparison.Ordinal);
        Assert.Equal("refused", State((await ServiceRun.WaitAsync(client, "/api/jobs", _ => true))[0]));
    }

    /// <summary>Due a minute ago: a service that starts so soon after makes up for it.</summary>
    private static void ScheduleNow(ServiceRun service, string length)
    {
        var due = DateTime.Now.AddMinutes(-1).ToString("HH:mm", CultureInfo.InvariantCulture);
        var text = File.ReadAllText(service.Configuration);
        var scheduled = text.Replace("profile: dome-drive.yaml", $"profile: dome-drive.yaml, schedule: [ {{ every-day-at: \"{due}\", {length} }} ]", StringComparison.Ordinal);
        Assert.NotEqual(text, scheduled);
        File.WriteAllText(service.Configuration, scheduled);
    }

    private static string? State(JsonElement job) => job.GetProperty("state").GetString();
}
