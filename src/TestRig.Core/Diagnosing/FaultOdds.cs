using TestRig.Core.Boards;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// Odds of faults on a board that was brought in because something on it no longer works (common practice: opto parts, contacts and power drivers fail more often than logic, clips slip off, and two nets that
/// are not neighbours are hardly ever joined). Only their ratios matter, and those to the probability of a second fault.
/// </summary>
internal static class FaultOdds
{
    public const double WholePackage = 0.0005, HoldsNet = 0.0005, LeadOpen = 0.004, LineLeadOpen = 0.003, LeadsExchanged = 0.0005, LeadsExchangedAfar = 0.0001, LeadElsewhere = 0.0005,
        AdapterPinDead = 0.0005, SupplyOff = 0.002, MultiplexerDead = 0.002, SelectLead = 0.002, PickUp = 0.004, Motor = 0.004, Contact = 0.004, BridgeOfNeighbours = 0.0002, Bridge = 0.00002;

    /// <summary>Of one section of a part: that it fails in this mode.</summary>
    public static double Of(Part part, FaultMode mode) => OfPart(part) * mode switch
    {
        FaultMode.Dead => 1,
        FaultMode.StuckActive or FaultMode.Slow => 0.5,
        FaultMode.Weak => 0.4,
        FaultMode.Unsteady => 0.2,
        FaultMode.Inverted => 0.05,
        _ => throw new ArgumentOutOfRangeException(nameof(mode), mode, "Not a fault of one section."),
    };

    private static double OfPart(Part part) => part switch
    {
        IsolatorPart or RelayPart => 0.01,
        DriverPart => 0.008,
        _ => 0.003,
    };
}
