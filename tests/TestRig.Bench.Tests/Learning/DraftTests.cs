using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using Xunit.Abstractions;

namespace TestRig.Bench.Tests.Learning;

/// <summary>Drafts of boards whose profile is hidden; the truth that they are compared with is the profile's own channel paths.</summary>
public class DraftTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData("dome-drive", 1)]
    [InlineData("dome-drive", 2)]
    [InlineData("dome-drive", 3)]
    [InlineData("tide-gauge", 1)]
    [InlineData("tide-gauge", 2)]
    [InlineData("tide-gauge", 3)]
    [InlineData("carillon", 1)]
    [InlineData("carillon", 2)]
    [InlineData("carillon", 3)]
    public async Task A_draft_finds_every_channel_and_polarity_and_asks_for_each_order_that_it_cannot_tell(string name, int seed)
    {
        var board = DemoBoards.Load(name);
        var hidden = new HiddenBoard(board);
        var findings = (await hidden.DraftAsync(seed)).Findings!;
        foreach (var question in findings.Questions)
            output.WriteLine(question.Words);
        Assert.Empty(findings.Shared);
        foreach (var channel in board.Channels)
        {
            var truth = hidden.Truth(channel);
            var chain = findings.Chains.Single(chain => chain.Line.Name == channel.Line.Name);
            Assert.Equal(truth.Select(point => (point.Alias, point.Follows)).Order(), chain.Answers.Select(answer => (answer.Point, answer.Follows)).Order());
            Assert.All(chain.Answers, answer => Assert.Equal(answer.Seen, answer.Answered));
            for (var i = 0; i < truth.Length; i++)
            {
                for (var j = i + 1; j < truth.Length; j++)
                {
                    var (first, second) = (truth[i], truth[j]);
                    var asked = findings.Questions.Any(question => question.Topic == DraftTopic.Order && question.Subjects.Contains(first.Alias) && question.Subjects.Contains(second.Alias));
                    // Told as it is, or asked: never told the other way round, never both.
                    Assert.False(chain.IsBefore(second.Alias, first.Alias), $"{channel.Name}: {second.Alias} is told to be in front of {first.Alias}");
                    Assert.NotEqual(asked, chain.IsBefore(first.Alias, second.Alias));
                    if (MustBeTold(channel, first.Stage, second.Stage))
                        Assert.False(asked, $"{channel.Name}: {first.Alias} and {second.Alias} are far enough apart to be told");
                    if (CannotBeTold(channel, first.Stage, second.Stage))
                        Assert.True(asked, $"{channel.Name}: {first.Alias} and {second.Alias} are too close together to be told");
                }
            }
        }
    }

    [Theory]
    [InlineData("dome-drive")]
    [InlineData("tide-gauge")]
    [InlineData("carillon")]
    public async Task The_draft_is_a_profile_that_loads_and_says_what_it_does_not_know(string name)
    {
        var board = DemoBoards.Load(name);
        var hidden = new HiddenBoard(board);
        await using var adapter = new SimulatedAdapter(board, FaultPlan.None, 4, motorSupplyOn: false);
        var run = hidden.Run(adapter);
        var findings = (await run.RunAsync(new Progress<SweepEvent>(), CancellationToken.None)).Findings!;
        var draft = new DraftProfile(hidden.Points, findings, "on a simulated board", run.OnTime);
        Assert.True(draft.HasChannel);
        var text = draft.Write();
        output.WriteLine(text);
        var loaded = ProfileLoader.LoadText(text, Path.Combine(Repository.Root, "profiles", "draft.yaml"), Repository.PartsFolder);
        Assert.Empty(loaded.Errors);
        Assert.Equal(board.Channels.Select(channel => channel.Line.Name), loaded.Board!.Channels.Select(channel => channel.Line.Name));
        Assert.All(DraftProfile.Standing.Concat(findings.Questions.Select(question => question.Words)), words => Assert.Contains($"# ASK: {words}", text, StringComparison.Ordinal));
        // The same board judged by its own draft: good, but for the contacts, whose bounce a stand-in does not permit.
        await using var again = new SimulatedAdapter(board, FaultPlan.None, 4, motorSupplyOn: false);
        var swept = await new Sweep(loaded.Board, again, new(ExerciseMode.LogicOnly, MotorOffConfirmed: true, NoStopInputAcknowledged: false), TimeProvider.System, Serilog.Core.Logger.None)
            .RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        foreach (var channel in swept.Channels)
        {
            var bounces = findings.Chains.Single(chain => chain.Line.Name == channel.Channel.Line.Name).Answers.Any(answer => answer.Bounces > 0);
            Assert.Equal((channel.Channel.Name, bounces ? Condition.Bouncing : Condition.Working), (channel.Channel.Name, channel.Condition));
        }
        // The lines' limits are those of the file of points, and what a lead is clipped to goes as high as it says.
        foreach (var line in hidden.Points.Board.Lines)
        {
            var drafted = loaded.Board.Lines.Single(known => known.Name == line.Name);
            Assert.Equal((line.LongestOn, line.Rest, line.Idle, true), (drafted.LongestOn, drafted.Rest, drafted.Idle, drafted.Motion));
        }
        foreach (var point in hidden.Points.Clipped)
            Assert.Equal(point.Highest!.Value.Value, loaded.Board.TestPoints.Single(known => known.LeadEnd == point.LeadEnd).Highest!.Value.Value, 1e-9);
    }

    /// <summary>Two collectors that pull their nets low: whichever conducts takes both.</summary>
    [Fact]
    public async Task A_bridge_makes_points_answer_two_lines_and_is_asked_for()
    {
        var hidden = new HiddenBoard(SimulatedRun.Dome);
        var findings = (await hidden.DraftAsync(1, "net:OK1.5+OK2.5=bridged")).Findings!;
        var bridged = Assert.Single(findings.Questions, question => question.Topic == DraftTopic.Shared);
        Assert.Equal(
            ((string[])["OK1.5", "OK2.5", "Q1.C", "Q2.C"]).Select(hidden.AliasOf).Concat(["rotate-left", "rotate-right"]).Order(StringComparer.Ordinal), bridged.Subjects.Order(StringComparer.Ordinal));
        Assert.Contains("bridged", bridged.Words, StringComparison.Ordinal);
        // In front of the bridge, and in the other channels, all is what it is.
        Assert.Equal(2, findings.Chains.Single(chain => chain.Line.Name == "rotate-left").Answers.Length);
        Assert.All(findings.Chains.Where(chain => !chain.Line.Name.StartsWith("rotate", StringComparison.Ordinal)), chain => Assert.Equal(4, chain.Answers.Length));
    }

    /// <summary>Two logic outputs that idle low: each holds the other's net, and neither command gets through.</summary>
    [Fact]
    public async Task Two_lines_that_hold_each_others_net_are_silent_and_the_draft_asks_for_a_bridge()
    {
        var hidden = new HiddenBoard(SimulatedRun.Dome);
        var findings = (await hidden.DraftAsync(1, "net:U3.18+U3.16=bridged")).Findings!;
        var silent = findings.Questions.Where(question => question.Topic == DraftTopic.Silent).ToList();
        Assert.Equal(["rotate-left", "rotate-right"], silent.SelectMany(question => question.Subjects));
        Assert.All(silent, question => Assert.Contains("bridged to one that holds it", question.Words, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_dead_channel_is_a_line_that_nothing_answers_and_the_draft_asks()
    {
        var hidden = new HiddenBoard(SimulatedRun.Dome);
        var findings = (await hidden.DraftAsync(1, "U3:14=stuck-high")).Findings!;
        var silent = Assert.Single(findings.Questions, question => question.Topic == DraftTopic.Silent);
        Assert.StartsWith("Nothing answers line 'shutter-open'.", silent.Words, StringComparison.Ordinal);
        Assert.Empty(findings.Chains.Single(chain => chain.Line.Name == "shutter-open").Answers);
        Assert.All((string[])["U3.14", "U4.14", "OK3.5", "Q3.C"], point => Assert.Contains(hidden.AliasOf(point), findings.Quiet.Select(quiet => quiet.Point)));
        Assert.All(findings.Chains.Where(chain => chain.Line.Name != "shutter-open"), chain => Assert.Equal(4, chain.Answers.Length));
    }

    /// <summary>By the profile's own windows: the earliest that the later one can be behind the earlier one, at the edge where that is more, is beyond what the simulated bench resolves (3.6 µs for two instants, and as much for its mean through multiplexers).</summary>
    private static bool MustBeTold(Channel channel, int first, int second) => Levels().Any(line => Sum(channel, first, second, line, stage => stage.Earliest) > Duration.FromMicroseconds(8));

    /// <summary>Even the latest is far below a look (1.25 µs and more on our adapters, firmware-notes/timing.md).</summary>
    private static bool CannotBeTold(Channel channel, int first, int second) => Levels().All(line => Sum(channel, first, second, line, stage => stage.Latest) < Duration.FromNanoseconds(100));

    private static Level[] Levels() => [Level.High, Level.Low];

    private static Duration Sum(Channel channel, int first, int second, Level line, Func<DelayRange, Duration> end) => channel.Stages
        .Select((stage, i) => (Stage: stage, Index: i)).Where(stage => stage.Index > first && stage.Index <= second)
        .Aggregate(Duration.Zero, (sum, stage) => sum + end(stage.Stage.DelayTo(channel.LevelAfter(stage.Index, line))));
}
