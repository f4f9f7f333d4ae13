using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>What a recording tells of one signal: made in (<paramref name="After"/>, <paramref name="At"/>], or the same as before.</summary>
/// <param name="Signal">Index in <see cref="IRecording.Signals"/>.</param>
/// <param name="Level">Of a logic signal; null where it is not known.</param>
/// <param name="Voltage">Of a signal in volts; not a number where it is not known.</param>
internal readonly record struct RecordedValue(int Signal, Instant After, Instant At, Level? Level, double Voltage);
