using TestRig.Bench.Exercising;
using TestRig.Bench.Soaking;
using TestRig.Bench.Storage;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Soaking;

/// <summary>What is kept of a sweep as a cycle.</summary>
public class CycleRecordsTests
{
    /// <summary>A series has the limits of its first figure, in the store as in the tally.</summary>
    [Theory]
    [InlineData("tide-gauge", "Q7.C", "K3.NO")]
    [InlineData("dome-drive", "OK3.5", "Q3.C")]
    public async Task A_delay_that_is_counted_across_a_point_that_does_not_answer_is_no_figure_of_its_series(string profile, string silent, string behind)
    {
        var board = DemoBoards.Load(profile);
        var (good, cut) = (await FiguresAsync(), await FiguresAsync($"lead:{silent}=open"));
        Assert.Contains(good.Keys, IsDelayBehind);
        Assert.DoesNotContain(cut.Keys, IsDelayBehind);
        Assert.NotEmpty(cut);
        Assert.All(cut, figure => Assert.Equal(good[figure.Key], figure.Value));

        bool IsDelayBehind(FigureKey key) => key.TestPoint == behind && key.Kind == FigureKind.Delay;

        async Task<Dictionary<FigureKey, (long?, long?)>> FiguresAsync(params string[] faults)
        {
            var options = new SweepOptions(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: true);
            var cycle = CycleRecords.Of(1, await DemoBoards.MeasureAsync(board, 1, options, faults), DateTimeOffset.UnixEpoch, TimeSpan.Zero);
            return cycle.Figures.ToDictionary(figure => figure.Key, figure => (figure.Lowest, figure.Highest));
        }
    }
}
