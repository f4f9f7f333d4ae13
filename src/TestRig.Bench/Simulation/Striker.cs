namespace TestRig.Bench.Simulation;

/// <summary>A hammer on a solenoid: it strikes once each time that it is energised, and closes a contact where it strikes for a moment.</summary>
/// <param name="energised">True while the driver in front has the solenoid on.</param>
/// <param name="flight">From current in the solenoid to the strike, in picoseconds.</param>
internal sealed class Striker(EventQueue time, Contact contact, Func<bool> energised, bool supplyOn, long flight, Random random)
{
    private const double DwellSeconds = 0.012, LongerSeconds = 0.006;

    private bool _drawn;
    private int _strikes;

    /// <summary>Told when the driver may have switched.</summary>
    public void Look()
    {
        var drawn = supplyOn && energised();
        if (drawn == _drawn)
            return;
        _drawn = drawn;
        var strike = ++_strikes;
        if (!drawn)
            return;
        time.In(flight, () =>
        {
            // Let go on its way, it falls back.
            if (strike != _strikes)
                return;
            contact.Move(closed: true);
            time.In((long)((DwellSeconds + (LongerSeconds * random.NextDouble())) * 1e12), () => contact.Move(closed: false));
        });
    }
}
