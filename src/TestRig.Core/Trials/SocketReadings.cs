using TestRig.Core.Captures;

namespace TestRig.Core.Trials;

/// <summary>Voltages at the socket's taps, all through one converter.</summary>
/// <param name="Dark">At the emitter, the LED dark and neither load in the circuit.</param>
/// <param name="Lit">With the LED lit and the ratio load in the circuit.</param>
public sealed record SocketReadings(LevelReading Dark, LitReadings Lit);

/// <summary>Read one after the other while the LED is lit.</summary>
/// <param name="Sink">At the adapter's end of the resistor in the line's lead.</param>
/// <param name="RatioLow">At the adapter's end of the ratio load.</param>
public sealed record LitReadings(LevelReading Anode, LevelReading Cathode, LevelReading Sink, LevelReading Emitter, LevelReading RatioLow);
