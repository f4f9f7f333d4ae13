using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>A simulated bench that takes its time does what the bare one does, only later.</summary>
public class PacedAdapterTests
{
    private const double PicosecondsPerSecond = 1e12;

    [Theory]
    [InlineData(1)]
    [InlineData(17)]
    [InlineData(50)]
    public async Task It_takes_the_benchs_own_time_divided_by_its_speed(int speed)
    {
        var time = new HurriedTime();
        await using var bare = Bare(seed: 3);
        await using var paced = new PacedAdapter(bare, speed, time);
        var began = bare.Time.Now;
        var result = await SweepAsync(paced);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        var own = (bare.Time.Now - began) / PicosecondsPerSecond / speed;
        // What is still owed is shorter than the shortest wait; each of the calls may round a tick away.
        Assert.InRange(time.Waited.TotalSeconds, own - 0.011, own);
        Assert.True(own > 0.011, $"a sweep of {own} s shows nothing");
    }

    /// <summary>A timer is late by milliseconds: a wait for each request would take far longer than the bench.</summary>
    [Fact]
    public async Task Short_waits_are_put_together()
    {
        var time = new HurriedTime();
        await using var paced = new PacedAdapter(Bare(seed: 3), 10, time);
        await SweepAsync(paced);
        Assert.NotEmpty(time.Waits);
        Assert.All(time.Waits, wait => Assert.True(wait >= TimeSpan.FromMilliseconds(10), $"{wait}"));
    }

    [Fact]
    public async Task It_captures_what_the_bare_bench_captures()
    {
        await using var bare = Bare(seed: 5, "OK3=dead");
        var another = Bare(seed: 5, "OK3=dead");
        await using var paced = new PacedAdapter(another, 1000, new HurriedTime());
        Assert.Equal((another.Identity, another.Pins), (paced.Identity, paced.Pins));
        Assert.Equal(await CapturesAsync(bare), await CapturesAsync(paced));
    }

    [Fact]
    public async Task It_survives_being_let_go_of_and_its_lines_are_idle_then()
    {
        var bench = Bare(seed: 3);
        var paced = new PacedAdapter(bench, 1000, new HurriedTime());
        await paced.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        await paced.DisposeAsync();
        Assert.Equal(SweepOutcome.Complete, (await SweepAsync(paced)).Ending.Outcome);
    }

    /// <summary>What was driven before somebody cancelled is not lost, and nothing more is driven.</summary>
    [Fact]
    public async Task Whoever_cancels_a_wait_gets_what_happened_until_then()
    {
        using var cancelling = new CancellationTokenSource();
        var bench = Bare(seed: 3);
        await using var paced = new PacedAdapter(bench, 1, new CancellingTime(cancelling));
        await paced.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        var run = await paced.RunAsync(SimulatedRun.Program(SimulatedRun.Dome.Channels[0].Name), cancelling.Token);
        Assert.True(cancelling.IsCancellationRequested);
        Assert.True(run.Capture.End > Core.Quantities.Instant.Start);
        var then = bench.Time.Now;
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => paced.RunAsync(SimulatedRun.Program(SimulatedRun.Dome.Channels[0].Name), cancelling.Token));
        Assert.Equal(then, bench.Time.Now);
    }

    private static SimulatedAdapter Bare(int seed, params string[] faults) => new(SimulatedRun.Dome, SimulatedRun.Faults(faults), seed, motorSupplyOn: false);

    private static Task<SweepResult> SweepAsync(IAdapter adapter) =>
        new Sweep(SimulatedRun.Dome, adapter, new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
            .MeasureAsync(new Progress<SweepEvent>(), CancellationToken.None);

    private static async Task<List<string>> CapturesAsync(IAdapter adapter)
    {
        var captures = new List<string>();
        await adapter.ArmAsync(SimulatedRun.Limits(SimulatedRun.Dome), CancellationToken.None);
        foreach (var channel in SimulatedRun.Dome.Channels)
            captures.Add(SimulatedRun.Text((await adapter.RunAsync(SimulatedRun.Program(channel.Name), CancellationToken.None)).Capture));
        return captures;
    }

    /// <summary>Somebody cancels as soon as anybody waits.</summary>
    private sealed class CancellingTime(CancellationTokenSource cancelling) : TimeProvider
    {
        public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
        {
            var timer = System.CreateTimer(callback, state, dueTime, period);
            cancelling.Cancel();
            return timer;
        }
    }
}
