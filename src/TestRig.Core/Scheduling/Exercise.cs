using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>One drive-and-capture of one channel: the line on once, then off.</summary>
/// <param name="OnAt">Planned instant of the command, from the program's start.</param>
/// <param name="OffAt">Planned instant of its end.</param>
public sealed record Exercise(Channel Channel, ExerciseMode Mode, StimulusProgram Program, Duration OnAt, Duration OffAt);
