namespace TestRig.Tests.Expectations;

/// <summary>
/// One fault of the dome drive card each, and what a technician would say of it. Read by the tests of the simulated bench and by those of the real firmware
/// on the emulated board: two models that share nothing have to agree on it.
/// </summary>
public static class DomeFaults
{
    private const string AllChannels = "rotate-left rotate-right shutter-open shutter-close flap-raise flap-lower";

    /// <summary>
    /// Fault, as both benches write it; whether the machine has to move for it to show; the channels that it concerns, all others being working; their
    /// condition; what has to be in the first group of suspects.
    /// </summary>
    public static TheoryData<string, bool, string, string, string> All => new()
    {
        { "OK3=dead", false, "shutter-open", "dead", "OK3" },
        { "OK4=stuck-high", false, "shutter-close", "dead", "OK4" }, // a transistor that is never on: its collector stays up
        { "OK4=stuck-low", false, "shutter-close", "stuck-low", "OK4" },
        { "OK4=weak", false, "shutter-close", "weak", "OK4" },
        { "OK2=slow:3x", false, "rotate-right", "slow", "OK2" },
        { "Q2=dead", false, "rotate-right", "dead", "Q2" },
        { "Q5=stuck-high", false, "flap-raise", "stuck-high", "Q5" },
        { "U3:18=stuck-low", false, "rotate-left", "stuck-low", "U3" },
        { "U3:18=stuck-high", false, "rotate-left", "stuck-high", "U3" },
        { "U3:18=dead", false, "rotate-left", "stuck-low", "U3" }, // a logic output that keeps its idle level is stuck at it
        { "U3:9=inverted", false, "flap-raise", "inverted", "U3" },
        { "U3:14=weak", false, "shutter-open", "weak", "U3" },
        { "U4:14=stuck-low", false, "shutter-open", "stuck-low", "U4" },
        { "U3=no-supply", false, AllChannels, "stuck-low", "U3" },
        { "net:U3.18+U3.16=bridged", false, "rotate-left rotate-right", "stuck-low", "bridge between U3.16 and U3.18" }, // a low wins between TTL outputs (common practice)
        { "net:OK1.5+OK2.5=bridged", false, "rotate-left rotate-right", "crossed", "bridge between OK1.5 and OK2.5" },
        { "lead:U3.16=open", false, "rotate-right", "lead-open", "lead at U3.16" },
        { "lead:OK5.5=open", false, "flap-raise", "lead-open", "lead at OK5.5" }, // behind a divider: reads low
        { "home-switch=bouncing", true, "rotate-left", "bouncing", "home-switch" },
    };

    /// <summary>True when the fault concerns this channel.</summary>
    public static bool Concerns(string channels, string channel) => channels.Split(' ').Contains(channel);
}
