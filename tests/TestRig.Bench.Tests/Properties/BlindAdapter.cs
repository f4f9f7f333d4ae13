using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Properties;

/// <summary>An adapter that stops looking for a while in every program, between the first step that switches a line and the end: what changed then it tells when it looks again.</summary>
internal sealed class BlindAdapter(IAdapter inner, Random random) : IAdapter
{
    public AdapterIdentity Identity => inner.Identity;

    public ImmutableArray<AdapterPin> Pins => inner.Pins;

    public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => inner.ArmAsync(limits, cancellation);

    public Task ReleaseAsync(CancellationToken cancellation) => inner.ReleaseAsync(cancellation);

    public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => inner.SelectAsync(high, cancellation);

    public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => inner.ReadInputsAsync(cancellation);

    public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) => inner.ReadLevelsAsync(pins, samples, cancellation);

    public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => inner.CheckLeadsAsync(pins, cancellation);

    public async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
    {
        var run = await inner.RunAsync(program, cancellation);
        var from = Instant.Start + program.Steps.OfType<LinesStep>().First().At + Duration.FromMilliseconds(random.Next(1, 50));
        var gap = new Gap(from, from + Duration.FromMicroseconds(random.Next(1, 50_000)), GapReason.HostLate);
        return run with
        {
            Capture = run.Capture with
            {
                Gaps = run.Capture.Gaps.Add(gap),
                Signals = [.. run.Capture.Signals.Select(signal => signal with { Changes = Seen(signal, gap) })],
            },
        };
    }

    public ValueTask DisposeAsync() => inner.DisposeAsync();

    private static ImmutableArray<Change> Seen(Signal signal, Gap gap)
    {
        ImmutableArray<Change> before = [.. signal.Changes.Where(change => change.NotAfter <= gap.From)], after = [.. signal.Changes.Where(change => change.NotAfter > gap.To)];
        var (left, found) = ((signal with { Changes = before }).Final, signal.LevelAt(gap.To));
        return left == found ? [.. before, .. after] : [.. before, new(gap.From, gap.To, found), .. after];
    }
}
