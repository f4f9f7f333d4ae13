using System.Collections.Immutable;

namespace TestRig.Bench.Wiring;

/// <summary>One figure of the printed page: what is drawn, and where, in millimetres from its upper left corner.</summary>
/// <param name="Height">Of the figure; every figure has the same width.</param>
public sealed record WiringFigure(string Title, double Height, ImmutableArray<DrawnBody> Bodies)
{
    /// <summary>A4 upright between margins of 12 mm.</summary>
    public const double Width = 186;

    /// <summary>No higher than a page, with room for a heading.</summary>
    public const double Highest = 230;
}

/// <summary>A package, a connector, a part of unknown shape or a point of its own, with its leads.</summary>
/// <param name="X">Left edge of the outline; of a point, its centre.</param>
/// <param name="Y">Upper edge of the outline; of a point, its centre.</param>
public sealed record DrawnBody(
    LeadBody Body, BodyShape Shape, double X, double Y, double Width, double Height, ImmutableArray<DrawnPin> Pins, ImmutableArray<DrawnLead> Leads);

public enum BodyShape
{
    /// <summary>Seen from above, notch up, pin 1 at the upper left, counted against the clock.</summary>
    Dip,

    /// <summary>A box with the pins that leads go to, in no order of the real thing.</summary>
    List,
    Point,
}

/// <param name="X">Where a lead ends.</param>
/// <param name="OnRight">On which edge of the outline it is.</param>
public sealed record DrawnPin(string Name, double X, double Y, bool OnRight, bool Used);

/// <summary>A lead is a level line from the adapter's pin to the board's, so that no two cross.</summary>
/// <param name="AdapterX">Where it leaves the adapter's pin.</param>
/// <param name="PointX">Where it meets the board.</param>
public sealed record DrawnLead(Lead Lead, double AdapterX, double PointX, double Y)
{
    /// <summary>1 when the board is to the right of the adapter's pin, −1 when it is to the left.</summary>
    public int Direction => PointX > AdapterX ? 1 : -1;
}
