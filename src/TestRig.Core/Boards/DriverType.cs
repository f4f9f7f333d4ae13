namespace TestRig.Core.Boards;

/// <summary>A transistor driver.</summary>
/// <param name="HighSide">
/// True for a transistor between supply and load (PNP, emitter at the supply): a low input turns it on and its output goes high. False for a
/// transistor between load and ground (NPN): a high input turns it on and its output goes low. Both invert.
/// </param>
public sealed record DriverType(
    string Name,
    string Description,
    string Source,
    bool HighSide,
    DelayLimits OnDelay,
    DelayLimits OffDelay) : PartType(Name, Description, Source);
