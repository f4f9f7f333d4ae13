using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What recordings made by other instruments call the points of a board, where that is not the point's own name, and what they leave unsaid.</summary>
/// <param name="Signals">At most one for each test point.</param>
public sealed record RecordedNames(ImmutableArray<RecordedSignal> Signals)
{
    public static RecordedNames None { get; } = new([]);

    /// <summary>The column of the time in a file of columns; null for the first one.</summary>
    public string? TimeColumn { get; init; }

    /// <summary>What 1 in that column is; null where the file's heading says it.</summary>
    public Duration? TimeUnit { get; init; }

    /// <summary>How far before its stamp a change may have been made; null where nobody knows.</summary>
    public Duration? Resolution { get; init; }

    /// <summary>Of the instrument's clock, as a fraction; null where nobody knows.</summary>
    public double? ClockTolerance { get; init; }
}

/// <summary>One test point as others record it.</summary>
/// <param name="Name">Of a variable, with a bit's number behind it where it has several, or of a column; a number is the place of a column without a name, from 1.</param>
/// <param name="Unit">What 1 in its column is; null of logic levels, and where the file's heading says it.</param>
/// <param name="Limits">Which voltages are low and high there; null for those of the receiver behind the point.</param>
public sealed record RecordedSignal(string TestPoint, string Name, Volts? Unit, LevelLimits? Limits);
