using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>One drive-and-capture of one channel: the line on once, then off.</summary>
/// <param name="OnAt">Planned instant of the command, from the program's start.</param>
/// <param name="OffAt">Planned instant of its end.</param>
/// <param name="Readings">Voltages of its points that are read.</param>
public sealed record Exercise(Channel Channel, ExerciseMode Mode, Duration OnAt, Duration OffAt, ImmutableArray<PlannedReading> Readings)
{
    /// <summary>Channels that are exercised in the same program; what they do is not this channel's doing.</summary>
    public ImmutableArray<Channel> Companions { get; init; } = [];
}

/// <summary>A voltage that a program reads at a test point.</summary>
public sealed record PlannedReading(Duration At, string TestPoint);
