using Microsoft.Extensions.Hosting;
using Serilog;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>Brings what the benches found to the store that services share, whenever that can be reached.</summary>
internal sealed class SpoolWorker(ServiceStore store, ILogger log) : BackgroundService
{
    protected override Task ExecuteAsync(CancellationToken stoppingToken) => store.Spool is { } spool ? Task.Run(() => spool.CopyAsync(new Told(log), stoppingToken), CancellationToken.None) : Task.CompletedTask;

    private sealed class Told(ILogger log) : IProgress<SpoolEvent>
    {
        public void Report(SpoolEvent value)
        {
            switch (value)
            {
                case SpoolChanged { State: { Reachable: false } away }:
                    log.Warning("The shared run store is away since {Since}; {Cycles} cycles wait here: {Words}", away.AwaySince, away.CyclesWaiting, away.Words);
                    break;
                case SpoolChanged { State: { Refused.IsEmpty: false } state }:
                    foreach (var (run, words) in state.Refused)
                        log.ForContext("Run", run).Error("Cannot be brought to the shared run store: {Words}", words);
                    break;
                case RunHandedOver over:
                    log.ForContext("Run", over.Run).Information("All of it is in the shared run store");
                    break;
                default:
                    break;
            }
        }
    }
}
