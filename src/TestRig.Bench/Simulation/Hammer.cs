namespace TestRig.Bench.Simulation;

/// <summary>
/// A solenoid with a hammer: its contact closes when the hammer strikes, some time after the contactor pulled in, and opens when it has fallen back by itself.
/// </summary>
/// <param name="driven">True while the contactor is in.</param>
internal sealed class Hammer(EventQueue time, Func<bool> driven, bool motorSupplyOn, Contact contact, Random random)
{
    /// <summary>Both common practice, and seeded.</summary>
    private const long StrikesAfter = 50_000_000_000;
    private const long FallsBackAfter = 60_000_000_000;

    private readonly double _factor = Variation.Factor(random, 0.1);
    private bool _driven;
    private int _plan;

    /// <summary>Told when the contactor may have moved.</summary>
    public void Look()
    {
        var now = motorSupplyOn && driven();
        if (now == _driven)
            return;
        _driven = now;
        // What ends sooner than the way takes is no stroke.
        var plan = ++_plan;
        time.In((long)((now ? StrikesAfter : FallsBackAfter) * _factor), () =>
        {
            if (plan == _plan)
                contact.Move(now);
        });
    }
}
