using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>Another adapter whose pins tell something else: what a fault outside the simulated board would make of them. Records what was asked of it.</summary>
internal sealed class RetoldAdapter(IAdapter inner) : IAdapter
{
    public AdapterIdentity? As { get; init; }

    public Dictionary<string, double> Volts { get; } = [];

    public Dictionary<string, Level> Levels { get; } = [];

    /// <summary>Pins whose leads are found open.</summary>
    public HashSet<string> Open { get; } = [];

    /// <summary>Pins at which this adapter can check no lead.</summary>
    public HashSet<string> Unchecked { get; } = [];

    public bool Armed { get; private set; }

    public bool Released { get; private set; }

    public bool Ran { get; private set; }

    public AdapterIdentity Identity => As ?? inner.Identity;

    public ImmutableArray<AdapterPin> Pins => [.. inner.Pins.Select(pin => Unchecked.Contains(pin.Name) ? pin with { CanCheckLead = false } : pin)];

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation)
    {
        Armed = true;
        return inner.ArmAsync(limits, cancellation);
    }

    public Task ReleaseAsync(CancellationToken cancellation)
    {
        Released = true;
        return inner.ReleaseAsync(cancellation);
    }

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => inner.SelectAsync(high, cancellation);

    public async Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) =>
        (await inner.ReadInputsAsync(cancellation)).SetItems(Levels);

    public async Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) =>
    [
        .. (await inner.ReadLevelsAsync(pins, samples, cancellation)).Select(level =>
            Volts.TryGetValue(level.Signal, out var told) ? level with { Mean = new(told), Minimum = new(told), Maximum = new(told) } : level),
    ];

    public async Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation)
    {
        Assert.DoesNotContain(pins, Unchecked.Contains);
        return [.. (await inner.CheckLeadsAsync(pins, cancellation)).Select(lead => Open.Contains(lead.Pin) ? new(lead.Pin, Level.Low, Level.High) : lead)];
    }

    public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
    {
        Ran = true;
        return inner.RunAsync(program, cancellation);
    }

    public ValueTask DisposeAsync() => inner.DisposeAsync();
}
