using System.Collections.Immutable;
using System.Globalization;

namespace TestRig.Bench.Wiring;

/// <summary>
/// Places the leads of a group. Leads to the left pins of a package come from the left and leads to its right pins from the right, each on a level of its own:
/// nothing crosses, however many there are. All in millimetres.
/// </summary>
internal static class FigureLayout
{
    /// <summary>The box to tick and the adapter's pin take this much at the outer end of a lead.</summary>
    public const double AdapterEnd = 22;

    /// <summary>The name of a body stands above its outline.</summary>
    public const double NameHeight = 6;

    private const double CellWidth = 90, SecondCell = WiringFigure.Width - CellWidth;
    private const double Pitch = 5.4, DividerPitch = 9.6, RoomyPitch = 6.4, Below = 3.4, Stub = 3;

    /// <summary>Half the difference between an outline and its first and last pin.</summary>
    private const double Rim = 4;

    /// <summary>As many rows of a connector as fit on a page.</summary>
    private static readonly int _mostRows = (int)((WiringFigure.Highest - NameHeight - (2 * Rim)) / DividerPitch);

    /// <summary>More than one where a group is too high for a page.</summary>
    public static ImmutableArray<WiringFigure> Of(LeadGroup group)
    {
        var figures = ImmutableArray.CreateBuilder<WiringFigure>();
        var bodies = new List<DrawnBody>();
        double top = 0, rowHeight = 0;
        var secondIsFree = false;

        void EndRow()
        {
            (top, rowHeight, secondIsFree) = (top + rowHeight, 0, false);
        }

        void EndFigure()
        {
            EndRow();
            if (bodies.Count > 0)
                figures.Add(new(figures.Count == 0 ? group.Heading : $"{group.Heading} (continued)", top, [.. bodies]));
            bodies.Clear();
            top = 0;
        }

        foreach (var body in group.Bodies.SelectMany(Chunks))
        {
            var half = body.Leads.Length == 1;
            if (!(half && secondIsFree))
                EndRow();
            var left = half && secondIsFree ? SecondCell : 0;
            var (drawn, height) = Place(body, half, left, top);
            if (top + height > WiringFigure.Highest && bodies.Count > 0)
            {
                EndFigure();
                (drawn, height) = Place(body, half, left = 0, top);
            }
            bodies.Add(drawn);
            rowHeight = Math.Max(rowHeight, height);
            secondIsFree = half && left == 0;
        }
        EndFigure();
        return figures.ToImmutable();
    }

    private static IEnumerable<LeadBody> Chunks(LeadBody body) => IsDip(body) || body.Leads.Length <= _mostRows
        ? [body]
        : body.Leads.Chunk(_mostRows).Select(some => body with { Leads = [.. some] });

    /// <summary>Drawn as a package only when every lead's pin is one of its pins.</summary>
    private static bool IsDip(LeadBody body) =>
        body.DipPins is { } pins && body.Leads.All(lead => int.TryParse(lead.PinOfBody, CultureInfo.InvariantCulture, out var pin) && pin >= 1 && pin <= pins);

    private static (DrawnBody Body, double Height) Place(LeadBody body, bool half, double left, double top)
    {
        // The lower resistor hangs below its lead, where the next one may be.
        var divided = body.Leads.Any(lead => lead.Divider is not null);
        var pitch = divided && (body.Leads.Length > 1 || body.IsPoint) ? DividerPitch : body.IsPoint || (IsDip(body) && !half) ? Pitch : RoomyPitch;
        return body.IsPoint ? Point(body, left, top, pitch)
            : !IsDip(body) ? List(body, half, left, top, pitch)
            : half ? Dip(body, left + 4, 16, left, left + CellWidth, top, pitch)
            : Dip(body, (WiringFigure.Width / 2) - 15, 30, 0, WiringFigure.Width, top, pitch);
    }

    private static (DrawnBody, double) Point(LeadBody body, double left, double top, double pitch)
    {
        var y = top + 4;
        var x = left + 54;
        return (new(body, BodyShape.Point, x, y, 0, 0, [], [new(body.Leads[0], left + AdapterEnd, x, y)]), pitch + Below);
    }

    private static (DrawnBody, double) List(LeadBody body, bool half, double left, double top, double pitch)
    {
        // Alone in half a row, the name stands beside the pin.
        var x = half ? left + 62 : left + 104;
        var above = half ? 0 : NameHeight;
        var y = top + above;
        var pins = body.Leads.Select((lead, row) => new DrawnPin(lead.PinOfBody!, x, y + Rim + (row * pitch), OnRight: false, Used: true)).ToImmutableArray();
        var height = (2 * Rim) + ((pins.Length - 1) * pitch);
        return (
            new(body, BodyShape.List, x, y, half ? 22 : 16, height, pins, [.. body.Leads.Select((lead, row) => new DrawnLead(lead, left + AdapterEnd, x, pins[row].Y))]),
            above + height + Below + (pitch - Pitch));
    }

    /// <param name="x">Left edge of the outline.</param>
    /// <param name="left">Where the adapter's pins for the left side begin.</param>
    /// <param name="right">Where those for the right side end.</param>
    private static (DrawnBody, double) Dip(LeadBody body, double x, double width, double left, double right, double top, double pitch)
    {
        var count = body.DipPins!.Value;
        // In half a row there is room for leads on one side: the outline goes to the other end.
        var onLeft = IsLeft(int.Parse(body.Leads[0].PinOfBody!, CultureInfo.InvariantCulture), count);
        if (body.Leads.Length == 1 && onLeft)
            x = right - (x - left) - width;
        var y = top + NameHeight;
        DrawnPin Pin(int number)
        {
            var isLeft = IsLeft(number, count);
            var row = isLeft ? number - 1 : count - number;
            var name = number.ToString(CultureInfo.InvariantCulture);
            return new(name, isLeft ? x - Stub : x + width + Stub, y + Rim + (row * pitch), !isLeft, body.Leads.Any(lead => lead.PinOfBody == name));
        }

        var pins = Enumerable.Range(1, count).Select(Pin).ToImmutableArray();
        var height = (2 * Rim) + (((count / 2) - 1) * pitch);
        return (
            new(
                body, BodyShape.Dip, x, y, width, height, pins,
                [.. body.Leads.Select(lead => (Lead: lead, Pin: pins.First(pin => pin.Name == lead.PinOfBody)))
                    .Select(end => new DrawnLead(end.Lead, end.Pin.OnRight ? right - AdapterEnd : left + AdapterEnd, end.Pin.X, end.Pin.Y))]),
            NameHeight + height + Below + (pitch - Pitch));
    }

    private static bool IsLeft(int pin, int count) => pin <= count / 2;
}
