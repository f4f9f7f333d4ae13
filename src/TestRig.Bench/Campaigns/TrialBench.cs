using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Diagnosing;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Campaigns;

/// <summary>One board with an adapter, faults put in, swept: of nominal parts without noise, or as boards are.</summary>
internal sealed class TrialBench(Board board, ExerciseMode mode, AdapterFigures figures)
{
    /// <summary>Beside the nominal one. None of them is a specimen that a diagnosis looks at.</summary>
    private const int Specimens = 8;

    /// <summary>Of a loop, so many more: where it comes to rest hangs on small differences between parts.</summary>
    private const int SpecimensOfLoop = 24;

    public Board Board => board;

    /// <summary>Whether all of these can be there at the same time.</summary>
    public bool CanHave(params BoardFault[] faults) => Plan(faults) is not null;

    /// <summary>What a sweep of nominal parts shows, judged by nobody.</summary>
    public Observation Observe(params BoardFault[] faults) => Observation.Of(Measure(Variation.Nominal, faults).Seen);

    /// <summary>The same, and what boards show whose parts differ from that as real ones do.</summary>
    public Observation ObserveSpecimens(params BoardFault[] faults) =>
        Enumerable.Range(1, Specimens + (faults.Any(ClosesLoop) ? SpecimensOfLoop : 0))
            .Aggregate(Observe(faults), (known, specimen) => known.Or(Observation.Of(Measure(new Variation(-specimen), faults).Seen)));

    /// <summary>What the bench of this seed shows, its own parts, without noise and with it.</summary>
    public Observation ObserveBench(int seed, params BoardFault[] faults) => Observation.Of(Measure(Variation.WithoutNoise(seed), faults).Seen).Or(Observation.Of(Measure(new(seed), faults).Seen));

    /// <summary>What one sweep of that bench saw, as it came out.</summary>
    public Observation SeenOf(int seed, params BoardFault[] faults) => Observation.AsItCameOut(Measure(new(seed), faults).Seen);

    /// <summary>Two nets of one channel: what is behind the one comes back to it from the other.</summary>
    private bool ClosesLoop(BoardFault fault) => fault.Mode == FaultMode.Bridged && board.Channels.Any(channel => fault.Between.All(channel.Owns));

    /// <summary>Measured and judged, but not diagnosed.</summary>
    public SweepResult Measure(Variation variation, params BoardFault[] faults) => SweepOf(Adapter(variation, faults)).MeasureAsync(Unwatched.Sweep, CancellationToken.None).GetAwaiter().GetResult();

    /// <summary>Measured, judged and diagnosed, as a user's sweep is.</summary>
    public SweepResult Sweep(int seed, params BoardFault[] faults) => SweepOf(Adapter(new(seed), faults)).RunAsync(Unwatched.Sweep, CancellationToken.None).GetAwaiter().GetResult();

    // The simulated adapter answers at once: nothing is waited for.
    private Sweep SweepOf(IAdapter adapter) =>
        new(board, adapter, new(mode, MotorOffConfirmed: true, NoStopInputAcknowledged: true), TimeProvider.System, Serilog.Core.Logger.None);

    private SimulatedAdapter Adapter(Variation variation, BoardFault[] faults) => new(
        board, Plan(faults) ?? throw new InvalidOperationException($"{string.Join(" with ", faults.Select(fault => fault.Name))} cannot be."), variation, motorSupplyOn: mode == ExerciseMode.Motion, figures);

    private FaultPlan? Plan(BoardFault[] faults) => FaultPlan.Of(board, faults.SelectMany(fault => fault.Written)).Plan;
}
