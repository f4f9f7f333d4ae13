using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Bench.Tests.Adapters;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>Another adapter, some of whose pins can be stamped. Keeps what was asked of it.</summary>
internal sealed class StampingAdapter(IAdapter inner, Func<AdapterPin, bool> isFine) : AdapterInFront(inner)
{
    /// <summary>The firmware of the ATmega328P states 0 to 4 ticks, and one for the step of the stamp.</summary>
    private const int MostTicks = 5;

    public List<StimulusProgram> Programs { get; } = [];

    public IEnumerable<FinePoint> Stamped => Programs.Select(program => program.Fine).OfType<FinePoint>();

    /// <summary>What becomes of a run with a stamp: by default what the looks saw, stamped at the end of its interval: no answer comes before its cause then.</summary>
    public Func<BurstRun, FinePoint, BurstRun> Tell { get; init; } = AtItsEnd;

    /// <summary>Pins at which a crossing can be stamped; by default none.</summary>
    public Func<AdapterPin, bool> IsCrossing { get; init; } = _ => false;

    public override ImmutableArray<AdapterPin> Pins => [.. base.Pins.Select(pin => pin with { Fine = isFine(pin), Crossing = IsCrossing(pin) })];

    public override async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation)
    {
        Programs.Add(program);
        var run = await base.RunAsync(program with { Fine = null }, cancellation);
        return program.Fine is { } fine ? Tell(run, fine) : run;
    }

    public static BurstRun Without(BurstRun run, FinePoint fine) => run with { Fine = new(fine.Pin, fine.Level, null, "told so by the test") };

    private static BurstRun AtItsEnd(BurstRun run, FinePoint fine)
    {
        var coarse = run.Capture.Find(fine.Pin)!.Changes.Single(change => change.Level == fine.Level);
        return run with { Fine = new(fine.Pin, fine.Level, new(coarse, coarse.NotAfter, Duration.Zero, run.Capture.Tick * MostTicks), null) };
    }
}
