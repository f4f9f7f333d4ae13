using TestRig.Bench.Exercising;
using TestRig.Bench.Plotting;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Whole sweeps of a board behind two multiplexers, whose hammers fall back by themselves.</summary>
public class CarillonSweepTests
{
    private static readonly Board Carillon = DemoBoards.Load("carillon");

    [Theory]
    [InlineData(ExerciseMode.LogicOnly)]
    [InlineData(ExerciseMode.Motion)]
    public async Task A_healthy_card_is_all_working_whatever_its_parts_are_like(ExerciseMode mode)
    {
        for (var seed = 0; seed < 20; seed++)
        {
            var result = await SweepAsync(seed, mode);
            Assert.True(
                result.Channels.Length == 4 && result.Channels.All(channel => channel.Condition == Condition.Working) && !result.Incomplete,
                $"seed {seed}: {string.Join("; ", result.Channels.Select(channel => channel.Summary))} {result.Ending.Words}");
        }
    }

    [Theory]
    [MemberData(nameof(CarillonFaults.All), MemberType = typeof(CarillonFaults))]
    public async Task One_fault_is_judged_and_named_as_a_technician_would(string fault, bool motion, string channels, string condition, string suspect)
    {
        for (var seed = 1; seed <= 4; seed++)
        {
            var result = await SweepAsync(seed, motion ? ExerciseMode.Motion : ExerciseMode.LogicOnly, fault);
            var conditions = SimulatedRun.Conditions(result);
            Assert.True(
                conditions.All(entry => entry.Value == (CarillonFaults.Concerns(channels, entry.Key) ? condition : "working")),
                $"seed {seed}: {string.Join(", ", conditions)}; {string.Join("; ", result.Channels.Select(channel => channel.Summary))}");
            Assert.True(
                result.Diagnosis.Suspects.First().Group.Any(known => known.Contains(suspect, StringComparison.Ordinal)),
                $"seed {seed}: {string.Join("; ", result.Diagnosis.Suspects.Select(known => $"{string.Join(" / ", known.Group)} {known.Words} {known.Belief}"))}");
        }
    }

    /// <summary>Buffer and hammer are seen in one run of the exercise, isolator and driver in another: one axis of time would not show it.</summary>
    [Fact]
    public async Task The_picture_says_that_not_all_was_seen_at_once()
    {
        var heading = new PictureHeading("Card", DateTimeOffset.UnixEpoch, Simulated: true);
        var carillon = (await SweepAsync(1, ExerciseMode.LogicOnly)).Channels[0];
        Assert.EndsWith("8 exercises laid over each other", WaveformPicture.Of(carillon, heading).Origin, StringComparison.Ordinal);
        var dome = (await SimulatedRun.SweepAsync(1)).Channels[0];
        Assert.DoesNotContain("laid over", WaveformPicture.Of(dome, heading).Origin, StringComparison.Ordinal);
    }

    /// <summary>A wrong point, or none, must never pass for the right one.</summary>
    [Theory]
    [MemberData(nameof(CarillonFaults.OfMultiplexers), MemberType = typeof(CarillonFaults))]
    public async Task A_faulty_multiplexer_leaves_no_channel_working_whose_points_are_not_seen_and_is_named(string fault, string channels, string suspect)
    {
        for (var seed = 1; seed <= 4; seed++)
        {
            var result = await SweepAsync(seed, ExerciseMode.LogicOnly, fault);
            var conditions = SimulatedRun.Conditions(result);
            Assert.Equal(suspect, result.Diagnosis.Suspects.First().Group[0]);
            Assert.All(conditions.Where(entry => CarillonFaults.Concerns(channels, entry.Key)), entry => Assert.NotEqual("working", entry.Value));
        }
    }

    private static Task<SweepResult> SweepAsync(int seed, ExerciseMode mode, params string[] faults) =>
        DemoBoards.SweepAsync(Carillon, seed, new(mode, MotorOffConfirmed: false, NoStopInputAcknowledged: false), faults);
}
