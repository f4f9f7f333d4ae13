using TestRig.Bench.Exercising;
using TestRig.Bench.Files;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Tests.Wiring;
using TestRig.Bench.Wiring;
using TestRig.Core.Boards;

namespace TestRig.Bench.Tests.Exercising;

/// <summary>Each lead by itself, on the simulated bench: what is told, and what is honestly not told.</summary>
public class LeadCheckTests
{
    private static readonly Board _tide = ProfileLoader.Load(Path.Combine(Repository.Root, "profiles", "tide-gauge.yaml"), Repository.PartsFolder).Board!;

    private static RetoldAdapter Adapter(Board board, params string[] faults) => new(FaultyBench.Of(board, 1, faults));

    private static async Task<LeadCheckResult> CheckAsync(Board board, RetoldAdapter adapter)
    {
        var result = await new LeadCheck(board, adapter, motorOffConfirmed: false).RunAsync(new Progress<SweepEvent>(), CancellationToken.None);
        Assert.False(adapter.Ran);
        Assert.True(adapter.Released);
        return result;
    }

    private static IEnumerable<string> Of(LeadCheckResult result, FoundState state) =>
        result.Leads.Where(lead => lead.Value.State == state).Select(lead => lead.Key).Order(StringComparer.Ordinal);

    [Fact]
    public async Task On_a_healthy_board_all_leads_are_whole_but_those_that_read_as_an_open_one_would()
    {
        var result = await CheckAsync(SimulatedRun.Dome, Adapter(SimulatedRun.Dome));
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.Equal(["MOTOR", "Q1.C", "Q2.C", "Q3.C", "Q4.C", "Q5.C", "Q6.C"], Of(result, FoundState.NotTold));
        Assert.Equal(37, Of(result, FoundState.Whole).Count());
        Assert.False(result.AnyWrong);
        Assert.True(result.Incomplete);
    }

    [Fact]
    public async Task An_open_lead_is_named_and_no_other()
    {
        var result = await CheckAsync(SimulatedRun.Dome, Adapter(SimulatedRun.Dome, "lead:U3.16=open"));
        Assert.Equal(["U3.16"], Of(result, FoundState.Open));
        Assert.Empty(Of(result, FoundState.Wrong));
        Assert.True(result.AnyWrong);
    }

    [Fact]
    public async Task An_open_lead_behind_a_divider_is_not_called_whole_and_reads_wrong_where_the_point_idles_high()
    {
        var result = await CheckAsync(SimulatedRun.Dome, Adapter(SimulatedRun.Dome, "lead:OK2.5=open", "lead:Q1.C=open"));
        Assert.Equal(["OK2.5"], Of(result, FoundState.Wrong));
        Assert.Equal("reads 0 V, should be high: open lead, or a part is faulty", result.Leads["OK2.5"].Words);
        // Q1.C idles low.
        Assert.Equal(FoundState.NotTold, result.Leads["Q1.C"].State);
    }

    [Fact]
    public async Task A_lead_at_a_pin_that_the_adapter_cannot_check_is_neither_open_nor_whole_and_is_not_asked_for()
    {
        // U3.18 is at A0, and OK1.5, behind a divider, idles high: both would be whole.
        var points = SimulatedRun.Dome.TestPoints.Where(point => point.Name is "U3.18" or "OK1.5").ToList();
        var adapter = Adapter(SimulatedRun.Dome);
        adapter.Unchecked.UnionWith(points.Select(point => point.AdapterPin!));
        var result = await CheckAsync(SimulatedRun.Dome, adapter);
        Assert.Equal(SweepOutcome.Complete, result.Ending.Outcome);
        Assert.All(points, point => Assert.Equal(FoundState.NotTold, result.Leads[point.Name].State));
        Assert.False(result.AnyWrong);
        var faulty = Adapter(SimulatedRun.Dome, "U3:18=stuck-high");
        faulty.Unchecked.UnionWith(adapter.Unchecked);
        var wrong = (await CheckAsync(SimulatedRun.Dome, faulty)).Leads["U3.18"];
        Assert.Equal(FoundState.Wrong, wrong.State);
        Assert.Contains("its lead is open, the clip is elsewhere", wrong.Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_point_with_the_wrong_level_is_a_clip_elsewhere_or_a_faulty_part()
    {
        var result = await CheckAsync(SimulatedRun.Dome, Adapter(SimulatedRun.Dome, "U3:18=stuck-high"));
        Assert.Contains("U3.18", Of(result, FoundState.Wrong));
        Assert.Contains("should be low: the clip is elsewhere, or a part is faulty", result.Leads["U3.18"].Words, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_open_line_ends_the_check_before_anything_is_driven_and_the_other_leads_are_not_called_whole()
    {
        var adapter = Adapter(SimulatedRun.Dome, "lead:J1.4=open");
        var result = await CheckAsync(SimulatedRun.Dome, adapter);
        Assert.Equal(SweepOutcome.StoppedForSafety, result.Ending.Outcome);
        Assert.False(adapter.Armed);
        Assert.Equal(["J1.4"], Of(result, FoundState.Wrong));
        Assert.Equal(["J1.10", "J1.12", "J1.2", "J1.6", "J1.8"], Of(result, FoundState.Whole));
        Assert.Equal(38, Of(result, FoundState.NotChecked).Count());
    }

    [Fact]
    public async Task A_supply_that_is_off_ends_the_check_and_is_no_whole_lead()
    {
        var adapter = Adapter(SimulatedRun.Dome);
        adapter.Volts["A13"] = 0;
        var result = await CheckAsync(SimulatedRun.Dome, adapter);
        Assert.Equal(SweepOutcome.NotReady, result.Ending.Outcome);
        Assert.Equal(FoundState.NotChecked, result.Leads["ISOLATED"].State);
        Assert.False(adapter.Armed);
    }

    [Fact]
    public async Task Lines_that_idle_low_cannot_be_told_from_open_leads()
    {
        var result = await CheckAsync(_tide, Adapter(_tide));
        Assert.Equal(["P1.1", "P1.2", "P1.3", "P1.4", "P1.5", "P1.6", "P1.7", "P1.8"], Of(result, FoundState.NotTold));
        Assert.Equal(22, Of(result, FoundState.Whole).Count());
        var open = await CheckAsync(_tide, Adapter(_tide, "lead:P1.3=open"));
        Assert.Equal(FoundState.NotTold, open.Leads["P1.3"].State);
    }

    [Fact]
    public async Task Points_behind_multiplexers_are_each_looked_at()
    {
        var board = WiringPlanTests.Multiplexed();
        var result = await CheckAsync(board, Adapter(board));
        Assert.Equal(
            ["M1.S0", "M1.S1", "M1.S2", "M2.S0", "M2.S1", "M2.S2", "MOTOR", "Q1.C", "Q2.C", "Q3.C", "Q4.C", "Q5.C", "Q6.C"],
            Of(result, FoundState.NotTold));
        // 37 as without multiplexers, and their common pins.
        Assert.Equal(39, Of(result, FoundState.Whole).Count());
        var open = await CheckAsync(board, Adapter(board, "lead:U3.16=open"));
        Assert.Equal(["U3.16"], Of(open, FoundState.Open));
    }

    [Fact]
    public async Task Every_lead_of_the_list_has_a_finding()
    {
        foreach (var board in (Board[])[SimulatedRun.Dome, _tide, WiringPlanTests.Multiplexed()])
        {
            var result = await CheckAsync(board, Adapter(board));
            Assert.Equal(WiringPlan.Of(board).Leads.Select(lead => lead.Point).Order(StringComparer.Ordinal), result.Leads.Keys.Order(StringComparer.Ordinal));
        }
    }

    [Fact]
    public async Task A_multiplexer_through_which_nothing_arrives_is_named_before_the_leads_behind_it()
    {
        var board = WiringPlanTests.Multiplexed();
        var result = await CheckAsync(board, Adapter(board, "M1=dead"));
        Assert.Equal(["M1.Z", "U3.16", "U3.18"], Of(result, FoundState.Open));
        Assert.Contains("supply, ground and enable of M1", result.Leads["M1.Z"].Words, StringComparison.Ordinal);
        Assert.Equal(FoundState.Whole, result.Leads["M2.Z"].State);
    }
}
