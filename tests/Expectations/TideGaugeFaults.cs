namespace TestRig.Tests.Expectations;

/// <summary>
/// One fault of the tide-gauge selector panel each, and what a technician would say of it. Read by the tests of the simulated bench and by those of the real
/// firmware on the emulated board: two models that share nothing have to agree on it.
/// </summary>
public static class TideGaugeFaults
{
    private const string AllChannels = "lamp-rising lamp-falling lamp-clock lamp-fault select-well-1 select-well-2 select-recorder select-telephone";

    /// <summary>
    /// Fault, as the simulated bench writes it; the channels that it concerns, all others being working; their condition; what has to be in the first group of suspects.
    /// </summary>
    public static TheoryData<string, string, string, string> All => new()
    {
        { "Q2=dead", "lamp-falling", "dead", "Q2" },
        { "Q2=stuck-high", "lamp-falling", "dead", "Q2" }, // a low-side transistor that is never on: its collector stays up
        { "Q1=stuck-low", "lamp-rising", "stuck-low", "Q1" },
        { "Q3=weak", "lamp-clock", "weak", "Q3" },
        { "Q4=slow:4x", "lamp-fault", "slow", "Q4" },
        { "U1:16=stuck-low", "lamp-falling", "stuck-low", "U1" },
        { "U1:16=stuck-high", "lamp-falling", "stuck-high", "U1" },
        { "U1:9=dead", "select-well-1", "stuck-low", "U1" }, // a logic output that keeps its idle level is stuck at it
        { "U1:14=inverted", "lamp-clock", "inverted", "U1" },
        { "U1:5=inverted", "select-recorder", "inverted", "U1" },
        { "U1:18=weak", "lamp-rising", "weak", "U1" },
        { "U1=no-supply", AllChannels, "stuck-low", "U1" },
        { "K1=dead", "select-well-1", "dead", "K1" },
        { "K2=stuck-low", "select-well-2", "stuck-low", "K2" }, // welded: its contact is always closed
        { "K3=stuck-high", "select-recorder", "dead", "K3" },
        { "K3=slow:4x", "select-recorder", "slow", "K3" },
        { "K4=slow:2x", "select-telephone", "slow", "K4" }, // 16 ms to pull in, where 15 are permitted; to let go, at most 16 of 20
        { "Q8=weak", "select-telephone", "weak", "Q8" }, // whether K4 pulls in with what is left for its coil depends on the relay
        { "K4=bouncing", "select-telephone", "bouncing", "K4" },
        { "Q6=dead", "select-well-2", "dead", "Q6" },
        { "lead:U1.12=open", "lamp-fault", "lead-open", "lead at U1.12" },
        { "lead:Q7.C=open", "select-recorder", "lead-open", "lead at Q7.C" }, // behind a divider: reads low, and the relay behind it answers
        { "net:Q1.C+Q2.C=bridged", "lamp-rising lamp-falling", "crossed", "bridge between Q1.C and Q2.C" }, // a transistor that conducts takes both low
        { "net:U1.18+U1.16=bridged", "lamp-rising lamp-falling", "stuck-low", "bridge between U1.16 and U1.18" }, // a low wins between TTL outputs (common practice)
    };

    /// <summary>The emulated bench has the contact of a relay as an element of its own.</summary>
    public static string OnEmulatedBench(string fault) => fault.Split('=') is [['K', _] relay, "bouncing" or "stuck-low" or "stuck-high"] words
        ? $"{relay}.NO={words[1]}"
        : fault;

    /// <summary>True when the fault concerns this channel.</summary>
    public static bool Concerns(string channels, string channel) => channels.Split(' ').Contains(channel);
}
