using System.Globalization;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Hosting.Systemd;
using Serilog;

namespace TestRig.Service;

/// <summary>
/// Tells whoever supervises the service (sd_notify(3): systemd, or another that gives it a NOTIFY_SOCKET) that it is ready, that it ends, and, again and again, that all benches are looked after. A service that hangs is
/// killed and started again by it, and goes on with its jobs.
/// </summary>
internal sealed class ServiceSupervision(BenchHall hall, IHostApplicationLifetime lifetime, TimeProvider time, ILogger log) : BackgroundService
{
    /// <summary>A worker that has not looked after its bench for so long hangs; each looks once a second.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    private readonly SystemdNotifier _supervisor = new();

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (!_supervisor.IsEnabled)
            return;
        using var started = lifetime.ApplicationStarted.Register(() => _supervisor.Notify(ServiceState.Ready));
        using var stopping = lifetime.ApplicationStopping.Register(() => _supervisor.Notify(ServiceState.Stopping));
        // In microseconds, by sd_watchdog_enabled(3); twice in that time, as it recommends.
        if (!long.TryParse(Environment.GetEnvironmentVariable("WATCHDOG_USEC"), NumberStyles.None, CultureInfo.InvariantCulture, out var microseconds) || microseconds <= 0)
        {
            await Task.Delay(Timeout.Infinite, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            return;
        }
        var half = TimeSpan.FromMicroseconds(microseconds / 2.0);
        while (!stoppingToken.IsCancellationRequested)
        {
            if (hall.Workers.FirstOrDefault(worker => !worker.IsAlive(Patience)) is { } hangs)
                log.Error("Bench {Bench} has not been looked after for {Patience}: the supervisor is not told that the service lives", hangs.Bench.Settings.Name, Patience);
            else
                _supervisor.Notify(new("WATCHDOG=1"));
            await Task.Delay(half, time, stoppingToken).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }
}
