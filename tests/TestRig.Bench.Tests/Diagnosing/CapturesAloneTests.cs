using System.Collections.Immutable;
using System.Text.Json;
using TestRig.Bench.Adapters;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Diagnosing;

/// <summary>A diagnosis is made of what an adapter answered, by whoever answers it.</summary>
public class CapturesAloneTests
{
    [Theory]
    [InlineData("OK3=dead")]
    [InlineData("net:U3.18+U3.16=bridged")]
    [InlineData("lead:U3.16=open")]
    public async Task Answers_played_back_by_another_adapter_are_judged_and_diagnosed_alike(string fault)
    {
        await using var bench = new RecordingAdapter(new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults(fault), 1, motorSupplyOn: false));
        var first = await SweepAsync(bench);
        // It has the profile and a tape, and never heard of a fault.
        await using var tape = new TapeAdapter(bench);
        var second = await SweepAsync(tape);
        Assert.NotEmpty(first.Diagnosis.Faults);
        Assert.Equal(Text(first.Diagnosis), Text(second.Diagnosis));
        Assert.Equal(first.Seen.AsEnumerable(), second.Seen);
        Assert.Equal(SimulatedRun.Conditions(first), SimulatedRun.Conditions(second));
    }

    [Fact]
    public async Task A_sweep_is_diagnosed_alike_when_its_adapter_is_gone()
    {
        var (result, pins, gone) = await SweepAndForgetAsync();
        for (var collected = 0; collected < 10 && gone.IsAlive; collected++)
        {
            GC.Collect();
            GC.WaitForPendingFinalizers();
        }
        Assert.False(gone.IsAlive, "something still holds the adapter");
        Assert.NotEmpty(result.Diagnosis.Faults);
        Assert.Equal(Text(result.Diagnosis), Text(BoardDiagnosis.Of(result, pins)));
    }

    // A method of its own, so that no local of the test holds the adapter.
    private static async Task<(SweepResult Result, ImmutableArray<AdapterPin> Pins, WeakReference Gone)> SweepAndForgetAsync()
    {
        var adapter = new SimulatedAdapter(SimulatedRun.Dome, SimulatedRun.Faults("OK3=dead"), 1, motorSupplyOn: false);
        var result = await SweepAsync(adapter);
        await adapter.DisposeAsync();
        return (result, adapter.Pins, new(adapter));
    }

    private static Task<SweepResult> SweepAsync(IAdapter adapter) =>
        new Sweep(SimulatedRun.Dome, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);

    private static string Text(Diagnosis diagnosis) => JsonSerializer.Serialize(diagnosis);

    /// <summary>Keeps every answer of the adapter behind it, in order.</summary>
    private sealed class RecordingAdapter(IAdapter inner) : IAdapter
    {
        public Queue<object> Answers { get; } = new();

        public AdapterIdentity Identity => inner.Identity;

        public ImmutableArray<AdapterPin> Pins => inner.Pins;

        public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => inner.ArmAsync(limits, cancellation);

        public Task ReleaseAsync(CancellationToken cancellation) => inner.ReleaseAsync(cancellation);

        public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => inner.SelectAsync(high, cancellation);

        public async Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => Kept(await inner.ReadInputsAsync(cancellation));

        public async Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) => Kept(await inner.ReadLevelsAsync(pins, samples, cancellation));

        public async Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => Kept(await inner.CheckLeadsAsync(pins, cancellation));

        public async Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => Kept(await inner.RunAsync(program, cancellation));

        public ValueTask DisposeAsync() => inner.DisposeAsync();

        private T Kept<T>(T answer)
        {
            Answers.Enqueue(answer!);
            return answer;
        }
    }

    /// <summary>Answers what was answered once, and holds nothing of who did. What it says of itself is that of the adapter that was recorded, its name excepted.</summary>
    private sealed class TapeAdapter(RecordingAdapter recorded) : IAdapter
    {
        private readonly Queue<object> _answers = new(recorded.Answers);

        public AdapterIdentity Identity { get; } = recorded.Identity with { Kind = "tape", Board = "tape", Place = "" };

        public ImmutableArray<AdapterPin> Pins { get; } = recorded.Pins;

        public Task ArmAsync(AdapterLimits limits, CancellationToken cancellation) => Task.CompletedTask;

        public Task ReleaseAsync(CancellationToken cancellation) => Task.CompletedTask;

        public Task SelectAsync(ImmutableArray<string> high, CancellationToken cancellation) => Task.CompletedTask;

        public Task<ImmutableDictionary<string, Level>> ReadInputsAsync(CancellationToken cancellation) => Next<ImmutableDictionary<string, Level>>();

        public Task<ImmutableArray<LevelReading>> ReadLevelsAsync(ImmutableArray<string> pins, int samples, CancellationToken cancellation) => Next<ImmutableArray<LevelReading>>();

        public Task<ImmutableArray<LeadReading>> CheckLeadsAsync(ImmutableArray<string> pins, CancellationToken cancellation) => Next<ImmutableArray<LeadReading>>();

        public Task<BurstRun> RunAsync(StimulusProgram program, CancellationToken cancellation) => Next<BurstRun>();

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;

        private Task<T> Next<T>() => Task.FromResult((T)_answers.Dequeue());
    }
}
