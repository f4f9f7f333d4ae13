namespace TestRig.Core.Trials;

/// <summary>What was measured of a part, before anything is judged.</summary>
public sealed record PartMeasurement(SocketFigures Figures, SocketDelays Delays);
