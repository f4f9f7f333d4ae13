using System.Collections.Immutable;
using TestRig.Bench.Exercising;
using TestRig.Bench.Simulation;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>Leads where others belong, on the simulated bench: which are named, and where something on the board explains it as well.</summary>
public class LeadPulsesTests
{
    private static async Task<LeadCheckResult> CheckAsync(Board board, params string[] faults)
    {
        await using var adapter = FaultyBench.Of(board, 1, faults);
        var progress = new Progress<SweepEvent>();
        var looked = await new LeadCheck(board, adapter, motorOffConfirmed: false).RunAsync(progress, CancellationToken.None);
        Assert.Equal(SweepOutcome.Complete, looked.Ending.Outcome);
        return await new LeadPulses(board, adapter, motorOffConfirmed: false, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(looked, progress, CancellationToken.None);
    }

    /// <summary>Pins next to each other, of one channel and of two, of different packages and through different resistors; lines; and a lead that goes where another is clipped already.</summary>
    [Theory]
    [InlineData("lead:U3.16+U3.18=swapped", "leads at U3.18 and U3.16 are exchanged", "U3.16", "U3.18")]
    [InlineData("lead:U3.16+U4.16=swapped", "leads at U3.16 and U4.16 are exchanged", "U3.16", "U4.16")]
    [InlineData("lead:OK1.5+OK6.5=swapped", "leads at OK1.5 and OK6.5 are exchanged", "OK1.5", "OK6.5")]
    [InlineData("lead:U3.16+OK2.5=swapped", "leads at U3.16 and OK2.5 are exchanged", "OK2.5", "U3.16")]
    [InlineData("lead:J1.2+J1.12=swapped", "leads of lines rotate-left and flap-lower are exchanged", "J1.12", "J1.2")]
    [InlineData("lead:U3.16=at-U3.18", "lead for U3.16 is at U3.18", "U3.16")]
    [InlineData("lead:OK1.5=at-OK5.5", "lead for OK1.5 is at OK5.5", "OK1.5")]
    public async Task A_lead_where_another_belongs_is_named(string fault, string words, params string[] points)
    {
        var result = await CheckAsync(SimulatedRun.Dome, fault);
        var verdict = Assert.Single(result.Pulses!.Verdicts);
        Assert.Contains(words, verdict.Words, StringComparison.Ordinal);
        Assert.Equal(LeadBlame.Lead, verdict.Blame);
        Assert.Equal(points, verdict.Points.Order(StringComparer.Ordinal));
        Assert.All(points, point => Assert.Equal(FoundState.Wrong, result.Leads[point].State));
        Assert.True(result.AnyWrong);
    }

    [Theory]
    [InlineData("OK3=dead", "OK3")]
    [InlineData("U3:18=stuck-high", "U3")]
    public async Task A_fault_of_the_board_is_no_leads(string fault, string item)
    {
        var verdict = Assert.Single((await CheckAsync(SimulatedRun.Dome, fault)).Pulses!.Verdicts);
        Assert.Equal(LeadBlame.Board, verdict.Blame);
        Assert.Contains(item, verdict.Words, StringComparison.Ordinal);
        Assert.Empty(verdict.Points);
    }

    /// <summary>
    /// Two outputs joined show what two lines at one pin do: neither channel is commanded while only one of two drivers pulls. It is said of both, and no lead is called wrong.
    /// </summary>
    [Fact]
    public async Task What_a_lead_and_the_board_explain_alike_is_said_of_both()
    {
        var result = await CheckAsync(SimulatedRun.Dome, "net:U3.18+U3.16=bridged");
        var verdict = Assert.Single(result.Pulses!.Verdicts);
        Assert.Equal(LeadBlame.LeadOrBoard, verdict.Blame);
        Assert.Contains("the lead for J1.2 is at J1.4", verdict.Words, StringComparison.Ordinal);
        Assert.Contains("bridge between U3.16 and U3.18", verdict.Words, StringComparison.Ordinal);
        Assert.Equal(["J1.2", "J1.4"], verdict.Points.Order(StringComparer.Ordinal));
        Assert.All(verdict.Points, point => Assert.Equal(FoundState.NotTold, result.Leads[point].State));
    }

    /// <summary>
    /// What only a command shows is told now: the collectors of the drivers idle low as an open lead would. Contacts and encoders, which no pulse moves while the motor supply is off, are all high: they are not
    /// told from each other.
    /// </summary>
    [Fact]
    public async Task On_a_healthy_board_every_lead_of_a_path_is_told_and_contacts_are_not_told_from_each_other()
    {
        var result = await CheckAsync(SimulatedRun.Dome);
        Assert.Empty(result.Pulses!.Verdicts);
        Assert.False(result.AnyWrong);
        Assert.Equal(FoundState.Whole, result.Leads["Q1.C"].State);
        Assert.Equal(["MOTOR"], result.Leads.Where(lead => lead.Value.State == FoundState.NotTold).Select(lead => lead.Key));
        var contacts = Assert.Single(result.Pulses.Alike, group => group.Contains("limit-left"));
        Assert.Contains("home-switch", contacts);
        Assert.Contains("dome-encoder", contacts);
        Assert.DoesNotContain("U3.18", contacts);
        Assert.All(result.Pulses.Alike, group => Assert.DoesNotContain("OK1.5", group));
    }

    /// <summary>
    /// Whose lead a line's is, is not known yet: with 90 ms permitted on one line and 500 ms on all others, no line may be on for longer than 90 ms, and none again before the longest rest.
    /// </summary>
    [Fact]
    public async Task No_line_is_on_for_longer_than_the_least_that_any_bears()
    {
        var board = SimulatedRun.Dome;
        Line Short(Line line) => line.Name == "rotate-left" ? line with { LongestOn = Duration.FromMilliseconds(90), Rest = Duration.FromMilliseconds(400) } : line;
        board = board.WithLines(Short);
        board = board with { Channels = [.. board.Channels.Select(channel => channel with { MotionOn = Duration.FromMilliseconds(80) })] };
        await using var adapter = new LimitsKept(new SimulatedAdapter(board, FaultPlan.None, 1, motorSupplyOn: false));
        var looked = new LeadCheckResult(ImmutableDictionary<string, LeadFound>.Empty, [], SweepEnding.Complete);
        var result = await new LeadPulses(board, adapter, motorOffConfirmed: false, TimeProvider.System, Serilog.Core.Logger.None).RunAsync(looked, new Progress<SweepEvent>(), CancellationToken.None);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.All(adapter.Armed!.Lines, line => Assert.Equal((Duration.FromMilliseconds(90), Duration.FromMilliseconds(400)), (line.LongestOn, line.Rest)));
        Assert.Equal(board.Lines.Length, adapter.Runs);
    }
}
