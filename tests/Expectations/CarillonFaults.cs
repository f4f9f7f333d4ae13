namespace TestRig.Tests.Expectations;

/// <summary>
/// One fault of the carillon's striker card each, and what a technician would say of it. Read by the tests of the simulated bench and by those of the real
/// firmware on the emulated board: two models that share nothing have to agree on it.
/// </summary>
public static class CarillonFaults
{
    private const string AllChannels = "strike-c strike-e strike-g strike-high-c";

    /// <summary>
    /// Fault, as both benches write it; whether the hammers have to move for it to show; the channels that it concerns, all others being working; their
    /// condition; what has to be in the first group of suspects.
    /// </summary>
    public static TheoryData<string, bool, string, string, string> All => new()
    {
        { "OK3=dead", false, "strike-g", "dead", "OK3" },
        { "OK4=stuck-high", false, "strike-high-c", "dead", "OK4" }, // a transistor that is never on: its collector stays up
        { "OK4=stuck-low", false, "strike-high-c", "stuck-low", "OK4" },
        { "OK1=weak", false, "strike-c", "weak", "OK1" },
        { "OK2=slow:3x", false, "strike-e", "slow", "OK2" }, // 15 µs on and 300 µs off, where 10 and 200 are permitted
        { "Q2=dead", false, "strike-e", "dead", "Q2" },
        { "Q1=stuck-high", false, "strike-c", "stuck-high", "Q1" },
        { "U1:18=stuck-low", false, "strike-c", "stuck-low", "U1" },
        { "U1:16=stuck-high", false, "strike-e", "stuck-high", "U1" },
        { "U1:14=dead", false, "strike-g", "stuck-high", "U1" }, // a logic output that keeps its idle level is stuck at it
        { "U1:12=inverted", false, "strike-high-c", "inverted", "U1" },
        { "U1:18=weak", false, "strike-c", "weak", "U1" }, // 1.5 V still light the LED: what is behind works
        { "net:U1.18+U1.16=bridged", false, "strike-c strike-e", "crossed", "bridge between U1.16 and U1.18" }, // a low wins between TTL outputs (common practice)
        { "net:OK1.5+OK2.5=bridged", false, "strike-c strike-e", "crossed", "bridge between OK1.5 and OK2.5" },
        { "lead:U1.16=open", false, "strike-e", "lead-open", "lead at U1.16" },
        { "lead:OK3.5=open", false, "strike-g", "lead-open", "lead at OK3.5" }, // behind a divider: reads low, and Q3 behind it answers
        { "H2=stuck-high", true, "strike-e", "dead", "H2" }, // never closes: either the contact, or the hammer did not strike
        { "H3=bouncing", true, "strike-g", "bouncing", "H3" },
    };

    /// <summary>
    /// Faults of the measuring set-up: the points of the channels named here are not seen, or others in their place, so that none of these channels may be called
    /// working, and no part of the board is at fault.
    /// </summary>
    public static TheoryData<string, string, string> OfMultiplexers => new()
    {
        { "M1=dead", AllChannels, "multiplexer M1" }, // no buffer and no isolator is seen
        { "M2=dead", AllChannels, "multiplexer M2" }, // no driver is seen
        { "M1:Y3=open", "strike-high-c", "lead at U1.12" }, // as an open lead at U1.12
        { "M1:S0=stuck-low", "strike-e strike-high-c", "select pin S0 of M1" }, // U1.18 is seen in place of U1.16, U1.14 of U1.12, OK1.5 of OK2.5, OK3.5 of OK4.5
        { "M2:S1=stuck-high", "strike-c strike-e", "select pin S1 of M2" }, // Q3.C is seen in place of Q1.C, Q4.C of Q2.C
    };

    /// <summary>True when the fault concerns this channel.</summary>
    public static bool Concerns(string channels, string channel) => channels.Split(' ').Contains(channel);
}
