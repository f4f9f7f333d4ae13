using System.Globalization;
using TestRig.Bench.Files;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Wiring;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Wiring;

public class WiringPlanTests
{
    private static readonly string[] _demos = ["dome-drive", "tide-gauge", "carillon"];

    public static TheoryData<string> Demos => [.. _demos];

    internal static WiringPlan PlanOf(string profile) =>
        WiringPlan.Of(ProfileLoader.Load(WrittenWiring.PathOf(profile), Repository.PartsFolder).Board!);

    /// <summary>The demonstration board with three of its points behind two multiplexers that share their select pins.</summary>
    internal static Board Multiplexed()
    {
        var profile = File.ReadAllText(Repository.DemoProfile)
            .Replace("U3.18: { adapter: A0 }", "U3.18: { adapter: M1.Y0 }", StringComparison.Ordinal)
            .Replace("U3.16: { adapter: A1 }", "U3.16: { adapter: M1.Y5 }", StringComparison.Ordinal)
            .Replace("OK1.5: { adapter: A6,", "OK1.5: { adapter: M2.Y5,", StringComparison.Ordinal)
            .Replace(
                "\ntest-points:\n",
                "\nmultiplexers:\n  M1: { type: 74HC4051, common: A0, select: [D28, D29, D2] }\n  M2: { type: 74HC4051, common: A1, select: [D28, D29, D2] }\n\ntest-points:\n",
                StringComparison.Ordinal);
        var path = Path.GetTempFileName();
        try
        {
            File.WriteAllText(path, profile);
            var result = ProfileLoader.Load(path, Repository.PartsFolder);
            return result.Board ?? throw new InvalidOperationException(string.Join('\n', result.Errors));
        }
        finally
        {
            File.Delete(path);
        }
    }

    private static string Written(Lead lead) =>
        $"{lead.AdapterPin} - {(lead.Divider is { } divider ? $"{divider.Upper} / {divider.Lower}" : lead.Series.ToString())} - {lead.Point}";

    [Theory]
    [MemberData(nameof(Demos))]
    public void Every_lead_of_the_profile_is_there_once_through_its_resistors(string profile)
    {
        var leads = PlanOf(profile).Leads.ToList();
        // A multiplexer's own leads are no test points' leads.
        var board = leads.Where(lead => lead.Series is not null || lead.Divider is not null);
        Assert.Equal(WrittenWiring.Leads(profile).Order(StringComparer.Ordinal), board.Select(Written).Order(StringComparer.Ordinal));
        Assert.Equal(Enumerable.Range(1, leads.Count), leads.Select(lead => lead.Number));
    }

    [Theory]
    [MemberData(nameof(Demos))]
    public void Supplies_come_first_and_what_can_command_something_last(string profile)
    {
        var uses = PlanOf(profile).Leads.SkipWhile(lead => lead is { Series: null, Divider: null }).Select(lead => lead.Use).ToList();
        Assert.Equal(LeadUse.Supply, uses[0]);
        Assert.Equal(uses.Count(use => use == LeadUse.Line), uses.AsEnumerable().Reverse().TakeWhile(use => use == LeadUse.Line).Count());
        Assert.Contains(LeadUse.Line, uses);
    }

    [Theory]
    [MemberData(nameof(Demos))]
    public void A_group_is_one_package_one_connector_parts_of_one_kind_or_points(string profile) => Assert.All(PlanOf(profile).Groups, group =>
    {
        Assert.All(group.Bodies, body => Assert.All(body.Leads, lead => Assert.Equal(body.IsPoint ? body.Name : $"{body.Name}.{lead.PinOfBody}", lead.Point)));
        Assert.True(group.Bodies.Length == 1 || group.Bodies.All(body => body.Leads.Length == 1), group.Title);
    });

    /// <summary>
    /// Worst cases by hand: supply maximum, upper resistor 1 % small and lower 1 % large. 13.2 V × 47.47/(99 + 47.47) = 4.278 V; 26.4 V × 22.22/121.22 = 4.839 V;
    /// 5.25 V × 10.1/20 = 2.651 V. ±1 % for metal film: common practice.
    /// </summary>
    [Theory]
    [InlineData("dome-drive", "OK1.5", 4.278)]
    [InlineData("dome-drive", "Q6.C", 4.278)]
    [InlineData("dome-drive", "MOTOR", 4.839)]
    [InlineData("dome-drive", "LOGIC", 2.651)]
    [InlineData("dome-drive", "U3.18", 5.25)]
    [InlineData("dome-drive", "J1.2", 5.25)]
    [InlineData("tide-gauge", "Q1.C", 4.839)]
    public void The_most_that_comes_to_a_pin_is_the_worst_case(string profile, string point, double volts) =>
        Assert.Equal(volts, PlanOf(profile).Leads.Single(lead => lead.Point == point).HighestAtPin!.Value.Value, 3);

    [Fact]
    public void A_ground_that_bridges_the_isolation_is_a_clip_of_its_own_with_the_authors_reason()
    {
        var grounds = PlanOf("dome-drive").Grounds;
        Assert.Equal(["ground of logic", "ground machine"], grounds.Select(ground => ground.To));
        Assert.Null(grounds[0].Because);
        Assert.StartsWith("the card is tested on a bench", grounds[1].Because, StringComparison.Ordinal);
        Assert.Equal(["the board's ground"], PlanOf("tide-gauge").Grounds.Select(ground => ground.To));
    }

    [Fact]
    public void The_steps_name_the_controller_and_the_supplies_and_keep_the_motors_off()
    {
        var plan = PlanOf("dome-drive");
        Assert.Contains(plan.Before, step => step.Contains("unplug its cable from J1", StringComparison.Ordinal));
        Assert.Contains(plan.Before, step => step.Contains("logic, isolated, motor", StringComparison.Ordinal));
        Assert.Contains("The motor supply (motor) stays off and locked.", plan.After[^1], StringComparison.Ordinal);
        Assert.Contains(WiringPlan.Of(plan.Board with { Controller = null }).Before, step => step.Contains("the profile does not say how", StringComparison.Ordinal));
        Assert.DoesNotContain("motor", string.Join(' ', PlanOf("tide-gauge").After), StringComparison.Ordinal);
    }

    [Fact]
    public void A_multiplexer_has_its_own_leads_and_stands_at_the_end_of_those_that_it_serves()
    {
        var plan = WiringPlan.Of(Multiplexed());
        Assert.Equal(
            ["A0 M1.Z", "D28 M1.S0", "D29 M1.S1", "D2 M1.S2", "A1 M2.Z", "D28 M2.S0", "D29 M2.S1", "D2 M2.S2"],
            plan.Groups.Take(2).SelectMany(group => group.Leads).Select(lead => $"{lead.AdapterPin} {lead.Point}"));
        Assert.Equal(
            ["M1.Y0 U3.18", "M1.Y5 U3.16", "M2.Y5 OK1.5"],
            plan.Leads.Where(lead => lead.AdapterPin.Contains(".Y", StringComparison.Ordinal)).Select(lead => $"{lead.AdapterPin} {lead.Point}"));
        Assert.Contains("M2.Y5  100 kohm / 47 kohm ±1 %  OK1.5", string.Join('\n', WiringList.Lines(plan)), StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(Demos))]
    public void The_list_has_a_box_for_every_lead_grounds_first_and_fits_80_columns(string profile)
    {
        var plan = PlanOf(profile);
        var lines = WiringList.Lines(plan).ToList();
        Assert.All(lines, line => Assert.InRange(line.Length, 0, 80));
        var boxes = lines.Where(line => line.StartsWith("[ ]", StringComparison.Ordinal)).Select(line => line.Split(' ', StringSplitOptions.RemoveEmptyEntries)).ToList();
        Assert.Equal(plan.Grounds.Length + plan.Leads.Count(), boxes.Count);
        Assert.All(boxes.Take(plan.Grounds.Length), words => Assert.Equal("GND", words[2]));
        Assert.Equal(
            plan.Leads.Select(lead => (lead.Number.ToString(CultureInfo.InvariantCulture), lead.AdapterPin)),
            boxes.Skip(plan.Grounds.Length).Select(words => (words[2], words[3])));
        Assert.All(plan.Leads, lead => Assert.Single(boxes, words => words.Contains(lead.Point) && words.Contains(lead.AdapterPin)));
    }

    [Fact]
    public void A_bound_is_rounded_up()
    {
        var lead = PlanOf("dome-drive").Leads.First() with { HighestAtPin = new Volts(4.2701) };
        Assert.Contains("4.28 V", string.Join('\n', WiringList.Lines(PlanOf("dome-drive") with { Groups = [new("one", [new("LOGIC", null, true, [lead])])] })), StringComparison.Ordinal);
    }
}
