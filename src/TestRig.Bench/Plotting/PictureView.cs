using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>One column of a picture: all panels over one stretch of time.</summary>
/// <param name="Letter">Marks the view's place in the view of the whole exercise; empty for that one.</param>
/// <param name="Origin">Where its time axis reads zero.</param>
/// <param name="AxisLabel">Unit and origin of the time axis in words.</param>
public sealed record PictureView(string Letter, string Title, Instant From, Instant To, Instant Origin, TimeUnit Unit, string AxisLabel)
{
    /// <summary>What brings the edge of what is laid over to this view's own; null where that has no such edge.</summary>
    public Duration? OverlayShift { get; init; }

    public bool Contains(Instant instant) => From <= instant && instant <= To;

    /// <summary>The instant on this view's time axis, in its unit.</summary>
    public double ToAxis(Instant instant) => Unit.Of(instant - Origin);
}
