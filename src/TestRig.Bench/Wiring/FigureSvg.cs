using System.Globalization;
using System.Xml.Linq;
using TestRig.Bench.Reporting;

namespace TestRig.Bench.Wiring;

/// <summary>Draws a figure as SVG. Black on white: it is printed, pinned to the wall, and read in grey.</summary>
internal static class FigureSvg
{
    public static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    /// <summary>The width of a letter over the size of the type, for a sans-serif, on the safe side (common practice).</summary>
    private const double LetterWidth = 0.6;

    private const double PinBoxWidth = 15, PinBoxHeight = 4.8, TickBox = 3.6;

    public static XElement Draw(WiringFigure figure) => new(
        Svg + "svg",
        new XAttribute("viewBox", $"0 0 {N(WiringFigure.Width)} {N(figure.Height)}"),
        new XAttribute("role", "img"),
        new XElement(Svg + "title", MarkupText.Permitted(figure.Title)),
        figure.Bodies.Select(Body));

    private static XElement Body(DrawnBody body) => new(
        Svg + "g",
        new XAttribute("class", "body"),
        new XAttribute("data-name", MarkupText.Permitted(body.Body.Name)),
        body.Leads.Select(lead => Lead(lead, alone: body.Shape == BodyShape.List && body.Leads.Length == 1)),
        body.Shape switch
        {
            BodyShape.Dip => Dip(body),
            BodyShape.List => List(body),
            _ => Point(body),
        });

    private static IEnumerable<XElement> Dip(DrawnBody body)
    {
        yield return Text(body.Body.Name, body.X + (body.Width / 2), body.Y - 1.6, 4, "middle", body.Width + 20, bold: true);
        yield return Outline(body);
        // The notch and the dot both mark where pin 1 is.
        var middle = body.X + (body.Width / 2);
        yield return new(Svg + "path", new XAttribute("d", $"M {N(middle - 2)} {N(body.Y)} A 2 2 0 0 0 {N(middle + 2)} {N(body.Y)}"), new XAttribute("class", "outline"));
        yield return new(Svg + "circle", new XAttribute("cx", N(body.X + 1.6)), new XAttribute("cy", N(body.Y + 1.6)), new XAttribute("r", "0.7"), new XAttribute("class", "solid"));
        foreach (var pin in body.Pins)
        {
            var inward = pin.OnRight ? -1 : 1;
            yield return Rectangle(pin.OnRight ? pin.X - 3 : pin.X, pin.Y - 1, 3, 2, pin.Used ? "solid" : "outline");
            yield return Text(pin.Name, pin.X + (inward * 4.2), pin.Y + 1.05, 3, pin.OnRight ? "end" : "start", 8, bold: pin.Used, faint: !pin.Used);
        }
    }

    private static IEnumerable<XElement> List(DrawnBody body)
    {
        yield return Outline(body);
        var alone = body.Pins.Length == 1;
        yield return alone
            ? Text(body.Body.Name, body.X + body.Width - 2, body.Y + (body.Height / 2) + 1.3, 3.6, "end", body.Width - 9, bold: true)
            : Text(body.Body.Name, body.X + (body.Width / 2), body.Y - 1.6, 4, "middle", 60, bold: true);
        foreach (var pin in body.Pins)
        {
            yield return Rectangle(pin.X - 1, pin.Y - 1, 2, 2, "solid");
            yield return Text(pin.Name, pin.X + 2, pin.Y + 1.1, 3.2, "start", alone ? 7 : body.Width - 3, bold: true);
        }
        if (!alone)
        {
            foreach (var lead in body.Leads)
                yield return Text(LeadWords.Remark(lead.Lead), body.X + body.Width + 3, lead.Y + 1, 2.8, "start", WiringFigure.Width - body.X - body.Width - 3);
        }
    }

    private static IEnumerable<XElement> Point(DrawnBody body)
    {
        const double room = 32;
        yield return new(Svg + "circle", new XAttribute("cx", N(body.X)), new XAttribute("cy", N(body.Y)), new XAttribute("r", "1.2"), new XAttribute("class", "outline"));
        yield return Text(body.Body.Name, body.X + 2.4, body.Y + 0.4, 3.2, "start", room, bold: true);
        var below = body.Y + 3.6;
        foreach (var remark in LeadWords.Remarks(body.Leads[0].Lead))
        {
            yield return Text(remark, body.X + 2.4, below, 2.4, "start", room);
            below += 3;
        }
    }

    private static bool Drives(Lead lead) => lead.Use is LeadUse.Line or LeadUse.Select;

    private static XElement Lead(DrawnLead drawn, bool alone)
    {
        var (lead, sign) = (drawn.Lead, drawn.Direction);
        // A part with one lead has its name beside the pin, a point of its own has nothing else.
        var named = lead.PinOfBody is not null && !alone;
        var group = new XElement(
            Svg + "g",
            new XAttribute("class", Drives(lead) ? "lead drives" : "lead"),
            new XAttribute("data-pin", MarkupText.Permitted(lead.AdapterPin)),
            new XAttribute("data-point", MarkupText.Permitted(lead.Point)));
        var boxLeft = sign > 0 ? drawn.AdapterX - PinBoxWidth : drawn.AdapterX;
        var tickLeft = sign > 0 ? boxLeft - 2 - TickBox : boxLeft + PinBoxWidth + 2;
        group.Add(
            Line(drawn.AdapterX, drawn.Y, drawn.PointX, drawn.Y),
            Rectangle(tickLeft, drawn.Y - (TickBox / 2), TickBox, TickBox, "tick"),
            Rectangle(boxLeft, drawn.Y - (PinBoxHeight / 2), PinBoxWidth, PinBoxHeight, "solid"),
            Text(lead.AdapterPin, boxLeft + (PinBoxWidth / 2), drawn.Y + 1.25, 3.5, "middle", PinBoxWidth - 1.5, bold: true, white: true));
        if (lead.HighestAtPin is not null)
            group.Add(Text($"≤ {LeadWords.AtMost(lead)}", drawn.AdapterX + (sign * 1), drawn.Y + 3, 2.1, sign > 0 ? "start" : "end", 13));
        group.Add(lead.Divider is not null ? Divider(drawn, named) : lead.Series is not null ? Series(drawn) : []);
        group.Add(Arrow(drawn));
        if (named)
            group.Add(Text(lead.Point, drawn.PointX - (sign * (Drives(lead) ? 4.4 : 1.6)), drawn.Y - 1, 2.8, sign > 0 ? "end" : "start", 16, bold: true));
        return group;
    }

    /// <summary>The resistor at the adapter.</summary>
    private static IEnumerable<XElement> Series(DrawnLead drawn)
    {
        var middle = drawn.AdapterX + (drawn.Direction * 15.5);
        yield return Rectangle(middle - 4.5, drawn.Y - 1.2, 9, 2.4, "resistor");
        yield return Text(Ohm(LeadWords.Through(drawn.Lead)), middle, drawn.Y - 1.9, 2.5, "middle", 16);
    }

    /// <summary>The upper resistor towards the board, the lower one from the adapter's end of it to ground.</summary>
    /// <param name="named">The point's name stands over the board's end of the lead.</param>
    private static IEnumerable<XElement> Divider(DrawnLead drawn, bool named)
    {
        var middle = ((drawn.AdapterX + drawn.PointX) / 2) + (drawn.Direction * 3);
        var junction = middle - (drawn.Direction * 5.5);
        yield return Rectangle(middle - 4.5, drawn.Y - 1.2, 9, 2.4, "resistor");
        var words = named ? drawn.PointX - (drawn.Direction * 29.5) : middle - (drawn.Direction * 4);
        yield return Text(Ohm(LeadWords.Through(drawn.Lead)), words, drawn.Y - 1.9, 2.5, "middle", 30);
        yield return new(Svg + "circle", new XAttribute("cx", N(junction)), new XAttribute("cy", N(drawn.Y)), new XAttribute("r", "0.6"), new XAttribute("class", "solid"));
        yield return Line(junction, drawn.Y, junction, drawn.Y + 5.6);
        yield return Rectangle(junction - 0.9, drawn.Y + 1.2, 1.8, 3.6, "resistor");
        yield return Line(junction - 1.8, drawn.Y + 5.6, junction + 1.8, drawn.Y + 5.6);
    }

    /// <summary>The way of the signal: a line's lead drives the board, every other one looks at it.</summary>
    private static XElement Arrow(DrawnLead drawn)
    {
        var towards = Drives(drawn.Lead) ? drawn.Direction : -drawn.Direction;
        var tip = Drives(drawn.Lead) ? drawn.PointX - (drawn.Direction * 1.4) : drawn.AdapterX + (drawn.Direction * 0.4);
        return new(Svg + "path", new XAttribute("d", $"M {N(tip)} {N(drawn.Y)} l {N(-towards * 2.4)} -1.1 v 2.2 z"), new XAttribute("class", "solid"));
    }

    private static XElement Outline(DrawnBody body) => Rectangle(body.X, body.Y, body.Width, body.Height, "outline");

    private static XElement Rectangle(double x, double y, double width, double height, string kind) => new(
        Svg + "rect", new XAttribute("x", N(x)), new XAttribute("y", N(y)), new XAttribute("width", N(width)), new XAttribute("height", N(height)), new XAttribute("class", kind));

    private static XElement Line(double x1, double y1, double x2, double y2) => new(
        Svg + "line", new XAttribute("x1", N(x1)), new XAttribute("y1", N(y1)), new XAttribute("x2", N(x2)), new XAttribute("y2", N(y2)));

    /// <param name="room">Text that may be wider is squeezed into it.</param>
    private static XElement Text(
        string words, double x, double y, double size, string anchor, double room, bool bold = false, bool faint = false, bool white = false)
    {
        var text = new XElement(
            Svg + "text", new XAttribute("x", N(x)), new XAttribute("y", N(y)), new XAttribute("font-size", N(size)), new XAttribute("text-anchor", anchor),
            new XAttribute("class", string.Join(' ', ((string[])[bold ? "bold" : "", faint ? "faint" : "", white ? "white" : ""]).Where(kind => kind.Length > 0))),
            MarkupText.Permitted(words));
        if (words.Length * size * LetterWidth > room)
            text.Add(new XAttribute("textLength", N(room)), new XAttribute("lengthAdjust", "spacingAndGlyphs"));
        return text;
    }

    private static string Ohm(string words) => words.Replace("ohm", "Ω", StringComparison.Ordinal);

    private static string N(double value) => Math.Round(value, 2).ToString(CultureInfo.InvariantCulture);
}
