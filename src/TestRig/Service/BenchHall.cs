using System.Collections.Immutable;
using Serilog;
using TestRig.Bench.Plotting;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>The benches of a service, each with whoever works it.</summary>
internal sealed class BenchHall(ServiceSettings settings, ServiceState state, ServiceStore store, PlotFont font, BenchMeter meter, TimeProvider time, ILogger log)
{
    public ImmutableArray<BenchWorker> Workers { get; } =
        [.. settings.Benches.Select(bench => new BenchWorker(new(bench), settings, state, store, font, meter, time, log))];

    /// <summary>Null where there is no bench of this name.</summary>
    public BenchWorker? Find(string bench) => Workers.FirstOrDefault(worker => worker.Bench.Settings.Name == bench);
}
