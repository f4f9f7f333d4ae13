using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>A contact from a net to ground. It bounces when it closes and when it opens.</summary>
/// <param name="bouncesMaximum">Transitions after the first that a healthy contact makes at most.</param>
/// <param name="settlesWithin">From the first transition to the last, at most, of a healthy contact.</param>
internal sealed class Contact(
    EventQueue time, Net net, int bouncesMaximum, Duration settlesWithin, ContactFault fault, Random random, Action moved)
{
    private const double ClosedOhms = 0.5;

    private readonly Branch _branch = net.Join(fault == ContactFault.StuckLow ? new(0, ClosedOhms) : null);
    private bool _closed;
    private int _plan;

    /// <summary>At once and without bounce: before the bench is looked at.</summary>
    public void Place(bool closed)
    {
        _closed = closed;
        Make(closed);
    }

    public void Move(bool closed)
    {
        if (closed == _closed)
            return;
        _closed = closed;
        var plan = ++_plan;
        var (extra, settles) = fault == ContactFault.Bouncing
            // Worn or dirty: far more, and for far longer, than any healthy one.
            ? (20 + (2 * random.Next(21)), (long)(25e9 + (5e9 * random.NextDouble())))
            : Healthy();
        Make(closed);
        long[] instants = [.. Variation.Places(random, Math.Max(0, extra - 1)).Select(place => (long)(settles * place)), settles];
        for (var bounce = 0; bounce < extra; bounce++)
        {
            var to = bounce % 2 == 0 ? !closed : closed;
            time.In(instants[bounce], () =>
            {
                if (plan == _plan)
                    Make(to);
            });
        }
    }

    /// <summary>Well within the limits, and an even number, so that it ends where it should.</summary>
    private (int Extra, long Settles) Healthy()
    {
        var most = bouncesMaximum / 4;
        return most == 0 ? (0, 0) : (2 * random.Next(1, most + 1), (long)(settlesWithin.Picoseconds * (0.1 + (0.3 * random.NextDouble()))));
    }

    private void Make(bool closed)
    {
        if (fault is ContactFault.StuckLow or ContactFault.StuckHigh)
            return;
        _branch.Set(closed ? new(0, ClosedOhms) : null);
        moved();
    }
}

internal enum ContactFault
{
    None,
    Bouncing,

    /// <summary>Always closed: its net is low.</summary>
    StuckLow,

    /// <summary>Never closes: its net stays high.</summary>
    StuckHigh,
}
