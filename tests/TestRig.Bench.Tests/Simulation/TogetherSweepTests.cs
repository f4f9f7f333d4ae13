using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Scheduling;
using TestRig.Tests.Expectations;

namespace TestRig.Bench.Tests.Simulation;

/// <summary>Channels swept at the same time: what is said of them has to be what is said of them one by one.</summary>
public class TogetherSweepTests
{
    private static readonly SweepOptions OneByOne = new(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false);

    /// <summary>Those of which several lines may be on at once.</summary>
    public static TheoryData<string> Boards => [.. DemoBoards.Names.Where(name => DemoBoards.Load(name).LinesOnTogether is not null)];

    /// <summary>One bench for each fault: it differs from the next one by its seed as well. Every third bridge; all of them agreed on 2026-11-28.</summary>
    [Theory]
    [MemberData(nameof(Boards))]
    public async Task Every_fault_of_every_board_is_judged_as_one_by_one(string name)
    {
        var board = DemoBoards.Load(name);
        var (different, faulty, seed) = (new List<string>(), 0, 1);
        foreach (var fault in EveryFault.Of(board, bridgesStep: 3))
        {
            var (slow, fast) = (await DemoBoards.MeasureAsync(board, ++seed, OneByOne, fault), await DemoBoards.MeasureAsync(board, seed, OneByOne with { Together = true }, fault));
            faulty += slow.AnyFaulty ? 1 : 0;
            if (!Agree(slow, fast) && !IsRestlessLoop(board, fault, slow, fast) && !await AgreesOnAnotherBenchAsync(board, seed, fault, fast))
                different.Add($"{fault}, seed {seed}: {string.Join(", ", SimulatedRun.Conditions(slow))} ({slow.Ending.Outcome}) one by one, {string.Join(", ", SimulatedRun.Conditions(fast))} ({fast.Ending.Outcome}) together");
        }
        Assert.True(different.Count == 0, string.Join('\n', different));
        Assert.True(faulty > 50, $"only {faulty} faults were seen at all");
    }

    private static bool Agree(SweepResult one, SweepResult other) =>
        one.Ending.Outcome == other.Ending.Outcome && SimulatedRun.Conditions(one).SequenceEqual(SimulatedRun.Conditions(other));

    /// <summary>An output joined to what it drives swings or finds its balance, and each other command pushes it out of that: what is seen of it is chance.</summary>
    private static bool IsRestlessLoop(Board board, string fault, params SweepResult[] results) =>
        fault.StartsWith("net:", StringComparison.Ordinal)
        && fault[4..fault.IndexOf('=', StringComparison.Ordinal)].Split('+') is [var first, var second]
        && board.Channels.Any(channel => Nets(channel).Contains(first) && Nets(channel).Contains(second))
        && results.Any(result => result.Channels.Any(channel => channel.Condition == Core.Judging.Condition.Bouncing));

    private static IEnumerable<string> Nets(Channel channel) => channel.Stages.Select(stage => stage.OutputName).Prepend(channel.DrivenAt.Name);

    /// <summary>An output bridged to what it drives through a bouncing contact is judged by how the contact bounced, one by one as well.</summary>
    private static async Task<bool> AgreesOnAnotherBenchAsync(Board board, int seed, string fault, SweepResult fast)
    {
        for (var other = 1000; other < 1008; other++)
        {
            if (Agree(await DemoBoards.MeasureAsync(board, seed + other, OneByOne, fault), fast))
                return true;
        }
        return false;
    }

    [Fact]
    public async Task Faults_that_only_motion_shows_are_judged_as_one_by_one()
    {
        var board = DemoBoards.Load("dome-drive");
        var motion = OneByOne with { Mode = ExerciseMode.Motion };
        foreach (var fault in EveryFault.Contacts(board).Append("net:dome-encoder+shutter-encoder=bridged"))
        {
            var (slow, fast) = (await DemoBoards.SweepAsync(board, 5, motion, fault), await DemoBoards.SweepAsync(board, 5, motion with { Together = true }, fault));
            Assert.True(
                SimulatedRun.Conditions(slow).SequenceEqual(SimulatedRun.Conditions(fast)),
                $"{fault}: {string.Join(", ", SimulatedRun.Conditions(slow))} one by one, {string.Join(", ", SimulatedRun.Conditions(fast))} together");
        }
    }

    [Theory]
    [InlineData("dome-drive", ExerciseMode.LogicOnly, 2)]
    [InlineData("dome-drive", ExerciseMode.Motion, 3)] // each axis has its encoder: none moves beside another
    [InlineData("tide-gauge", ExerciseMode.LogicOnly, 2)]
    public void As_few_turns_as_there_can_be_share_nothing_and_take_hardly_longer_than_their_longest_exercise(string name, ExerciseMode mode, int fewest)
    {
        var board = DemoBoards.Load(name);
        var most = board.LinesOnTogether!.Value;
        Turn Plan(TurnOrder order) => Scheduler.Plan(
            order, mode, ExerciseOptions.For(AdapterFigures.Reference.Tick * AdapterFigures.Reference.Sample), [.. Enumerable.Range(0, 16).Select(pin => $"A{pin}")], PointSelection.Of(board));
        var orders = Scheduler.Together(board, mode, most, _ => true);
        Assert.Equal(fewest, orders.Length);
        Assert.Equal(board.Channels.Select(channel => channel.Name).Order(), orders.SelectMany(order => order.Channels).Select(channel => channel.Name).Order());
        var (planned, bound) = (0.0, 0.0);
        foreach (var order in orders)
        {
            var turn = Plan(order);
            foreach (var step in turn.Runs.SelectMany(run => run.Program.Steps).OfType<LinesStep>())
            {
                Assert.InRange(step.OnPins.Length, 0, most);
                Assert.DoesNotContain(board.KeptApart, pair => step.OnPins.Contains(pair.First.AdapterPin) && step.OnPins.Contains(pair.Second.AdapterPin));
            }
            // The colouring's bound: each turn as long as the longest of its exercises alone.
            bound += order.Groups.Sum(group => group.Max(channel => Plan(TurnOrder.Of(channel)).Longest.ToSeconds()));
            planned += turn.Runs.Sum(run => run.Program.Length.ToSeconds());
        }
        Assert.InRange(planned, bound, 1.1 * bound);
    }

    [Fact]
    public async Task Two_lines_that_are_bridged_do_not_pass_for_two_that_work_together()
    {
        // Both are commanded in the same turn, and each shows just what it should: only that it shows it too early tells.
        var board = DemoBoards.Load("dome-drive");
        var fast = await DemoBoards.SweepAsync(board, 3, OneByOne with { Together = true }, "net:OK1.5+OK3.5=bridged");
        Assert.Equal(["rotate-left", "shutter-open"], SimulatedRun.Conditions(fast).Where(entry => entry.Value == "crossed").Select(entry => entry.Key));
    }

    [Fact]
    public async Task A_profile_that_does_not_say_how_many_lines_may_be_on_is_not_swept_together()
    {
        var board = DemoBoards.Load("dome-drive") with { LinesOnTogether = null };
        var refused = await Assert.ThrowsAsync<ProfileMismatchException>(() => DemoBoards.SweepAsync(board, 1, OneByOne with { Together = true }));
        Assert.Contains("lines-on-together: 2", refused.Message, StringComparison.Ordinal);
    }
}
