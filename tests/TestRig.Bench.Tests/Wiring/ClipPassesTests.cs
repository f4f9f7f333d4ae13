using TestRig.Bench.Exercising;
using TestRig.Bench.Tests.Simulation;
using TestRig.Bench.Wiring;
using TestRig.Core.Judging;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Tests.Wiring;

/// <summary>Passes over the demonstrations' points: what has to hold of any plan, and what was counted by hand in the profiles.</summary>
public class ClipPassesTests
{
    public static TheoryData<string> Demos => WiringPlanTests.Demos;

    [Theory]
    [MemberData(nameof(Demos))]
    public void Every_point_gets_a_lead_with_a_move_for_each_that_pass_1_leaves_out_and_voltages_are_still_read(string profile)
    {
        var board = DemoBoards.Load(profile);
        for (var inputs = 1; inputs <= 25; inputs++)
        {
            var passes = ClipPasses.Of(board, inputs);
            Assert.Equal(Math.Max(0, passes.Points.Length - inputs), passes.Moves);
            Assert.Equal(passes.Points.Select(point => point.Name).Order(), passes.Passes.SelectMany(pass => pass.Clips).Select(clip => clip.Name).Distinct().Order());
            foreach (var pass in passes.Passes)
            {
                Assert.Equal(Math.Min(inputs, passes.Points.Length), pass.Clips.Select(clip => clip.LeadEnd).Distinct().Count());
                // Where the profile reads a voltage, so does the pass: its pins there begin with A, also those in front of multiplexers.
                Assert.All(pass.Clips, clip => Assert.True(
                    clip.AdapterPin![0] == 'A' || passes.Points.Single(point => point.Name == clip.Name).AdapterPin![0] != 'A', $"{inputs} inputs, pass {pass.Number}: {clip.Name} at {clip.AdapterPin}"));
                Assert.All(pass.Moves, move => Assert.Equal(move.From.LeadEnd, move.To.LeadEnd));
            }
        }
    }

    /// <summary>
    /// The dome drive card's six paths have two points that take a lead with 1 kohm and two that take a divider of 100 kohm / 47 kohm each: with two leads of each kind, one path in each pass. With one lead of
    /// each kind a divider never goes into another lead, and no path is whole; with one lead for all, it changes once.
    /// </summary>
    [Theory]
    [InlineData(8, 3, 0, 0)]
    [InlineData(4, 6, 0, 0)]
    [InlineData(2, 12, 0, 6)]
    [InlineData(1, 24, 1, 6)]
    public void A_lead_keeps_its_divider_while_there_is_one_for_each_kind(int inputs, int count, int changes, int split)
    {
        var passes = ClipPasses.Of(SimulatedRun.Dome, inputs);
        Assert.Equal(count, passes.Passes.Length);
        Assert.Equal(changes, passes.Passes.Sum(pass => pass.Moves.Count(move => move.ChangesResistors)));
        Assert.Equal(split, passes.Split.Length);
    }

    [Fact]
    public void What_safety_rests_on_and_the_lines_keep_their_leads_in_every_pass()
    {
        var passes = ClipPasses.Of(SimulatedRun.Dome, 5);
        var stay = SimulatedRun.Dome.TestPoints.Except(passes.Points).ToList();
        Assert.Contains(stay, point => point.Name == "MOTOR");
        Assert.Contains(stay, point => point.Name == "emergency-stop");
        Assert.Contains(stay, point => point.Name == "dome-encoder");
        Assert.All(passes.Passes, pass => Assert.All(stay, point => Assert.Contains(point, pass.Board.TestPoints)));
    }

    /// <summary>Each pass is a board that can be swept: what it shows whole is judged, and works.</summary>
    [Fact]
    public async Task In_each_pass_the_channels_that_it_shows_whole_are_judged()
    {
        foreach (var pass in ClipPasses.Of(SimulatedRun.Dome, 8).Passes)
        {
            var result = await DemoBoards.SweepAsync(pass.Board, 1, new SweepOptions(ExerciseMode.LogicOnly, MotorOffConfirmed: false, NoStopInputAcknowledged: false));
            Assert.Equal(2, pass.Whole.Length);
            Assert.All(pass.Whole, whole => Assert.Equal(Condition.Working, result.Channels.Single(channel => channel.Channel.Name == whole.Name).Condition));
        }
    }

    [Theory]
    [MemberData(nameof(Demos))]
    public void The_list_has_a_box_for_every_clip_and_every_move_and_fits_80_columns(string profile)
    {
        foreach (var inputs in (int[])[1, 3, 6, 30])
        {
            var passes = ClipPasses.Of(DemoBoards.Load(profile), inputs);
            var lines = PassList.Lines(passes).ToList();
            Assert.All(lines, line => Assert.InRange(line.Length, 0, 80));
            Assert.Equal(passes.Passes[0].Clips.Length + passes.Moves, lines.Count(line => line.StartsWith("[ ]", StringComparison.Ordinal)));
        }
    }

    [Fact]
    public void The_page_draws_the_leads_of_pass_1_and_lists_every_move()
    {
        var passes = ClipPasses.Of(SimulatedRun.Dome, 4);
        var page = WiringPage.Write(passes, "dome.yaml");
        Assert.Contains("Leads of pass 1, in this order", page, StringComparison.Ordinal);
        Assert.Contains("<td>D37</td><td>U4.18</td><td>U4.16</td>", page, StringComparison.Ordinal);
        Assert.Equal(20, page.Split("☐").Length - 1);
        // 44 leads in all, of which 24 are of points that take turns.
        Assert.Contains("<p>24 leads", page, StringComparison.Ordinal);
    }
}
