using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Core.Tests.Scheduling;

public class StimulusPhaseTests
{
    private static readonly Duration _tick = new(62_500);

    // 19 ticks: one turn of the firmware's loop (firmware-notes/timing.md).
    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    [InlineData(8)]
    [InlineData(19)]
    [InlineData(100)]
    public void However_many_repeats_they_fill_the_period_evenly(int repeats)
    {
        var phase = new StimulusPhase(_tick * 19, _tick);
        double[] ticks = [.. Enumerable.Range(0, repeats).Select(repeat => phase.Of(repeat).Picoseconds / 62_500.0).Order()];
        Assert.Equal(0, phase.Of(0).Picoseconds);
        Assert.All(ticks, tick => Assert.Equal(tick, Math.Floor(tick)));
        Assert.All(ticks, tick => Assert.InRange(tick, 0, 18));
        // Three distances, of which the longest is at most (1 + √5)/2 squared times 1/n of the period, and a tick for rounding.
        var widest = ticks.Append(ticks[0] + 19).Zip(ticks.Skip(1).Append(ticks[0] + 19), (from, to) => to - from).Max();
        Assert.True(widest <= (19 * 2.62 / repeats) + 1, $"{widest} ticks apart with {repeats} repeats");
    }

    [Fact]
    public void A_phase_moves_the_whole_program_and_no_on_time()
    {
        var channel = Some.Board().Channels[0];
        var options = ExerciseOptions.For(Duration.FromMicroseconds(120));
        var (plain, later) = (Plan(options), Plan(options with { Phase = _tick * 7 }));
        Assert.Equal(plain.Exercises[0].OnAt + (_tick * 7), later.Exercises[0].OnAt);
        Assert.Equal(plain.Exercises[0].OffAt + (_tick * 7), later.Exercises[0].OffAt);
        Assert.Equal(plain.Longest + (_tick * 7), later.Longest);

        Turn Plan(ExerciseOptions laid) => Scheduler.Plan(TurnOrder.Of(channel), ExerciseMode.LogicOnly, laid, ["A1"], PointSelection.Of(Some.Board()));
    }
}
