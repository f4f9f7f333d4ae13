using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Recordings;

/// <param name="Mode">With motion when the motor supply was on while it was recorded: then encoders and switches are judged too.</param>
/// <param name="Resolution">How far before its stamp a change may have been made; null for what the profile or the file says, or else one step of its times.</param>
/// <param name="ClockTolerance">Of the instrument, as a fraction; null for what the profile says, or else 0.</param>
public sealed record RecordingOptions(ExerciseMode Mode, Duration? Resolution = null, double? ClockTolerance = null);
