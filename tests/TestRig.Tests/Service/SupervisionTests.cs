using System.Diagnostics;
using System.Globalization;
using System.Net;

namespace TestRig.Tests.Service;

/// <summary>What whoever supervises the service is told.</summary>
public sealed class SupervisionTests
{
    /// <summary>Of the unit: a service that is not heard of for so long is ended and started again.</summary>
    private static readonly TimeSpan _watchdog = TimeSpan.FromMilliseconds(200);

    private static readonly string _unit = Path.Combine(Repository.Root, "tools", "service", "testrig.service");

    [Fact]
    public async Task It_is_ready_when_it_answers_lives_while_it_works_and_says_when_it_ends()
    {
        using var supervisor = new Supervisor();
        var starting = Task.Run(() => ServiceRun.Start(environment: supervisor.Given(_watchdog)));
        // The first of a life is sent before everything is up; whoever supervises waits for this.
        while (supervisor.Next() is var message && message != "READY=1")
            Assert.Equal("WATCHDOG=1", message);
        using var service = await starting;
        using (var client = service.Client(null))
        using (var answer = await client.GetAsync("/health/ready"))
            Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        for (var beat = 0; beat < 5; beat++)
            Assert.Equal("WATCHDOG=1", supervisor.Next());
        Assert.Equal(0, service.End());
        Assert.Contains("STOPPING=1", supervisor.Pending());
    }

    [Fact]
    public void Before_it_listens_it_is_not_ready()
    {
        using var supervisor = new Supervisor();
        using var first = ServiceRun.Start();
        // The address is taken: it never listens.
        Assert.Throws<TimeoutException>(() => ServiceRun.Start(top: $"listen: http://127.0.0.1:{first.Address.Port.ToString(CultureInfo.InvariantCulture)}", environment: supervisor.Given(null)));
        Assert.DoesNotContain("READY=1", supervisor.Pending());
    }

    [Fact]
    public void Without_a_watchdog_it_says_no_more_than_that_it_is_ready_and_ends()
    {
        using var supervisor = new Supervisor();
        using var service = ServiceRun.Start(environment: supervisor.Given(null));
        Assert.Equal("READY=1", supervisor.Next());
        Assert.Equal(0, service.End());
        Assert.Equal(["STOPPING=1"], supervisor.Pending());
    }

    /// <summary>What a bench's worker looks at every second never comes to an end: a file that is a pipe which nobody writes to.</summary>
    [Fact]
    public async Task A_service_that_hangs_is_not_said_to_live_so_that_it_is_started_again()
    {
        using var supervisor = new Supervisor();
        using var service = ServiceRun.Start(environment: supervisor.Given(_watchdog));
        while (supervisor.Next() != "WATCHDOG=1")
            continue;
        var armed = Directory.CreateDirectory(Path.Combine(service.Folder, "service", "armed"));
        using (var pipe = Process.Start("mkfifo", [Path.Combine(armed.FullName, "dome.armed.json")]))
            pipe.WaitForExit();

        // After a minute, which is the service's own patience.
        service.WaitFor("has not been looked after");
        supervisor.Pending();
        using (var client = service.Client(null))
        using (var health = await client.GetAsync("/health/live"))
            Assert.Equal(HttpStatusCode.ServiceUnavailable, health.StatusCode);
        // In the time of many beats.
        await WaitAsync(() => service.Output.Split("has not been looked after").Length > 12);
        Assert.Empty(supervisor.Pending());
    }

    [Fact]
    public void The_unit_asks_for_all_of_that_and_gives_the_service_time_to_end()
    {
        var unit = File.ReadAllLines(_unit).Select(line => line.Trim()).Where(line => line.Contains('=', StringComparison.Ordinal) && !line.StartsWith('#')).Select(line => line.Split('=', 2)).ToLookup(parts => parts[0], parts => parts[1]);
        Assert.Equal("notify", Assert.Single(unit["Type"]));
        Assert.Equal("main", Assert.Single(unit["NotifyAccess"]));
        // A watchdog that ends it counts as a failure (systemd.service(5), "Restart=").
        Assert.Equal("on-failure", Assert.Single(unit["Restart"]));
        // Bad usage is not mended by starting again.
        Assert.Equal("2", Assert.Single(unit["RestartPreventExitStatus"]));
        Assert.InRange(Seconds("WatchdogSec"), 30, 120);
        // Longer than the 90 s that the service takes at most (ServiceHost).
        Assert.InRange(Seconds("TimeoutStopSec"), 91, 300);
        Assert.Equal("testrig", Assert.Single(unit["User"]));
        // Nothing for anybody who is not of its group.
        Assert.Equal(("0750", "0027"), (Assert.Single(unit["StateDirectoryMode"]), Assert.Single(unit["UMask"])));
        foreach (var (key, value) in ((string, string)[])[("NoNewPrivileges", "yes"), ("ProtectSystem", "strict"), ("ProtectHome", "yes"), ("PrivateTmp", "yes"), ("DevicePolicy", "closed"), ("CapabilityBoundingSet", "")])
            Assert.Equal((key, value), (key, Assert.Single(unit[key])));

        double Seconds(string key) => double.Parse(Assert.Single(unit[key]), CultureInfo.InvariantCulture);
    }

    private static async Task WaitAsync(Func<bool> condition)
    {
        var patience = Stopwatch.StartNew();
        while (!condition())
        {
            Assert.True(patience.Elapsed < TimeSpan.FromMinutes(2));
            await Task.Delay(20);
        }
    }
}
