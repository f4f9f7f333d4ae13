using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Wiring;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.Wiring;

/// <summary>What is drawn and where, and that the page says it all.</summary>
public class WiringPageTests
{
    private const double PinBox = 4.8;

    public static TheoryData<string> Demos => WiringPlanTests.Demos;

    private static List<WiringFigure> FiguresOf(WiringPlan plan) => [.. plan.Groups.SelectMany(group => FigureLayout.Of(group))];

    private static void AssertLegible(IEnumerable<WiringFigure> figures) => Assert.All(figures, figure =>
    {
        Assert.InRange(figure.Height, 1, WiringFigure.Highest);
        var leads = figure.Bodies.SelectMany(body => body.Leads).ToList();
        Assert.All(leads, lead =>
        {
            Assert.InRange(lead.Y, PinBox / 2, figure.Height - (PinBox / 2));
            Assert.InRange(lead.AdapterX, FigureLayout.AdapterEnd, WiringFigure.Width - FigureLayout.AdapterEnd);
            // Room for the resistors and their values.
            Assert.InRange(Math.Abs(lead.PointX - lead.AdapterX), 30, WiringFigure.Width);
        });
        // Two leads are on different levels, or beside each other: none crosses or touches another one.
        for (var i = 0; i < leads.Count; i++)
        {
            for (var j = i + 1; j < leads.Count; j++)
            {
                var apart = Math.Max(Math.Min(leads[i].AdapterX, leads[i].PointX), Math.Min(leads[j].AdapterX, leads[j].PointX))
                    > Math.Min(Math.Max(leads[i].AdapterX, leads[i].PointX), Math.Max(leads[j].AdapterX, leads[j].PointX));
                Assert.True(apart || Math.Abs(leads[i].Y - leads[j].Y) > PinBox, $"{figure.Title}: {leads[i].Lead.Point} and {leads[j].Lead.Point}");
            }
        }
    });

    [Theory]
    [MemberData(nameof(Demos))]
    public void Every_lead_is_drawn_once_on_a_level_of_its_own_within_the_page(string profile)
    {
        var plan = WiringPlanTests.PlanOf(profile);
        var figures = FiguresOf(plan);
        Assert.Equal(plan.Leads, figures.SelectMany(figure => figure.Bodies).SelectMany(body => body.Leads).Select(lead => lead.Lead));
        AssertLegible(figures);
    }

    /// <summary>Pins of a dual in-line package from above: 1 at the upper left, opposite the last one, counted against the clock (common practice).</summary>
    [Fact]
    public void A_package_has_its_pins_where_they_are_and_each_lead_ends_at_its_own()
    {
        var u3 = FiguresOf(WiringPlanTests.PlanOf("dome-drive")).SelectMany(figure => figure.Bodies).Single(body => body.Body.Name == "U3");
        Assert.Equal(BodyShape.Dip, u3.Shape);
        Assert.Equal(20, u3.Pins.Length);
        for (var left = 1; left <= 10; left++)
        {
            var (one, other) = (u3.Pins[left - 1], u3.Pins[20 - left]);
            // The numbers of opposite pins sum to 21.
            Assert.Equal((left.ToString(CultureInfo.InvariantCulture), (21 - left).ToString(CultureInfo.InvariantCulture)), (one.Name, other.Name));
            Assert.Equal(one.Y, other.Y);
            Assert.True(one.X < other.X && !one.OnRight && other.OnRight);
            Assert.True(left == 1 || one.Y > u3.Pins[left - 2].Y);
        }
        Assert.All(u3.Leads, lead =>
        {
            var pin = u3.Pins.Single(pin => pin.Name == lead.Lead.Point["U3.".Length..]);
            Assert.True(pin.Used);
            Assert.Equal((pin.X, pin.Y), (lead.PointX, lead.Y));
            Assert.Equal(pin.OnRight ? -1 : 1, lead.Direction);
        });
        Assert.Equal(6, u3.Pins.Count(pin => pin.Used));
    }

    [Fact]
    public void A_package_of_unknown_shape_and_a_pin_without_a_number_are_drawn_as_a_list()
    {
        var bodies = FiguresOf(WiringPlanTests.PlanOf("tide-gauge")).SelectMany(figure => figure.Bodies).ToList();
        Assert.All(bodies.Where(body => body.Body.Name is "K1" or "Q1" or "P1"), body => Assert.Equal(BodyShape.List, body.Shape));
        Assert.Equal(3, bodies.Count(body => body.Body.Name is "K1" or "Q1" or "P1"));
        var odd = FigureLayout.Of(new("U9", [Body("U9", 8, "1", "12")]));
        Assert.Equal(BodyShape.List, odd[0].Bodies[0].Shape);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(23)]
    [InlineData(100)]
    public void A_connector_with_many_leads_goes_on_on_the_next_page(int count)
    {
        var body = Body("J9", null, [.. Enumerable.Range(1, count).Select(pin => pin.ToString(CultureInfo.InvariantCulture))]);
        var figures = FigureLayout.Of(new("Connector J9", [body]));
        AssertLegible(figures);
        Assert.Equal(body.Leads, figures.SelectMany(figure => figure.Bodies).SelectMany(part => part.Leads).Select(lead => lead.Lead));
        Assert.All(figures.Skip(1), figure => Assert.Equal("Connector J9 (continued)", figure.Title));
        Assert.Equal(count > 50, figures.Length > 1);
    }

    [Fact]
    public void Eighty_points_of_their_own_stand_in_two_columns_on_as_many_pages_as_they_need()
    {
        var group = new LeadGroup("Switches", [.. Enumerable.Range(1, 80).Select(number => Point($"switch-{number}"))]);
        var figures = FigureLayout.Of(group);
        AssertLegible(figures);
        Assert.InRange(figures.Length, 2, 3);
        Assert.Equal(80, figures.Sum(figure => figure.Bodies.Length));
    }

    [Theory]
    [MemberData(nameof(Demos))]
    public void The_page_is_well_formed_needs_nothing_else_and_shows_each_lead_with_its_pin_and_resistors(string profile)
    {
        var plan = WiringPlanTests.PlanOf(profile);
        var html = WiringPage.Write(plan, "profiles/board.yaml");
        Assert.DoesNotContain("src=", html, StringComparison.Ordinal);
        Assert.DoesNotContain("href=", html, StringComparison.Ordinal);
        Assert.DoesNotContain("<script", html, StringComparison.Ordinal);
        var page = XDocument.Parse(html["<!DOCTYPE html>".Length..]);
        XNamespace svg = "http://www.w3.org/2000/svg";
        var drawn = page.Descendants(svg + "g").Where(group => ((string?)group.Attribute("class"))?.StartsWith("lead", StringComparison.Ordinal) == true).ToList();
        Assert.Equal(plan.Leads.Select(lead => (lead.AdapterPin, lead.Point)), drawn.Select(group => ((string)group.Attribute("data-pin")!, (string)group.Attribute("data-point")!)));
        foreach (var (lead, group) in plan.Leads.Zip(drawn))
        {
            var texts = group.Elements(svg + "text").Select(text => text.Value).ToList();
            Assert.Contains(lead.AdapterPin, texts);
            Assert.Equal(lead.Use is LeadUse.Line or LeadUse.Select, ((string)group.Attribute("class")!).Contains("drives", StringComparison.Ordinal));
            if (lead is { Series: null, Divider: null })
                continue;
            Assert.Contains(lead.Divider is { } divider ? $"{divider.Upper} / {divider.Lower} ±1 %".Replace("ohm", "Ω", StringComparison.Ordinal) : lead.Series!.Value.ToString().Replace("ohm", "Ω", StringComparison.Ordinal), texts);
            Assert.Equal(lead.Divider is null ? 1 : 2, group.Elements(svg + "rect").Count(shape => (string?)shape.Attribute("class") == "resistor"));
        }
        // Once more by the adapter's pin, D9 before D10.
        var rows = page.Descendants("tbody").Single().Elements("tr").Select(row => row.Elements("td").First().Value).ToList();
        Assert.Equal(plan.Leads.Count(), rows.Count);
        rows.RemoveAll(pin => pin.Contains('.', StringComparison.Ordinal));
        Assert.Equal(rows.OrderBy(pin => pin[0]).ThenBy(pin => int.Parse(pin.AsSpan(1), CultureInfo.InvariantCulture)), rows);
    }

    /// <summary>A divider's lower end goes to the ground that its point refers to: the page says which, as the list does.</summary>
    [Fact]
    public void The_ground_of_a_group_stands_above_it()
    {
        var page = WiringPage.Write(WiringPlanTests.PlanOf("carillon"), "profiles/board.yaml");
        Assert.Contains("OK1 OK2 OK3 OK4, 4N25; all to ground belfry", page, StringComparison.Ordinal);
        Assert.Contains("Q1 Q2 Q3 Q4, BD140; all to ground belfry", page, StringComparison.Ordinal);
    }

    private static LeadBody Body(string name, int? pinsOfPackage, params string[] pins) => new(
        name, pinsOfPackage, IsPoint: false,
        [.. pins.Select((pin, row) => new Lead(row + 1, LeadUse.Sense, $"D{row}", $"{name}.{pin}", pin, new Ohms(1_000), null, null, new Volts(5.25), ""))]);

    private static LeadBody Point(string name) =>
        new(name, null, IsPoint: true, [new Lead(1, LeadUse.Stop, "D1", name, null, new Ohms(1_000), null, null, new Volts(5.25), "")]);
}
