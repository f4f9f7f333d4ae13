namespace TestRig.Bench.Recordings;

/// <summary>A signal of a recording, and the test point that it shows.</summary>
/// <param name="Name">As the recording calls it.</param>
/// <param name="InVolts">A voltage, not a level.</param>
public sealed record BoundSignal(string TestPoint, string Name, bool InVolts);
