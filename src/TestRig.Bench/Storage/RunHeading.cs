using TestRig.Core.Scheduling;

namespace TestRig.Bench.Storage;

/// <summary>What is known of a run before its first cycle.</summary>
/// <param name="Id">By which people call it, e.g. "dome-drive-20260312-180000": letters, digits, dots, dashes and underscores.</param>
/// <param name="Board">The board's name, from its profile.</param>
/// <param name="Profile">The profile as it was then; what the run captured is judged again by it, or by another.</param>
/// <param name="Started">With the offset from UTC of the bench.</param>
/// <param name="Options">Of the command, as JSON: what a resumed run goes on with.</param>
/// <param name="Program">The version of the program.</param>
public sealed record RunHeading(
    string Id, RunKind Kind, string Board, ProfileSource Profile, ExerciseMode Mode, DateTimeOffset Started, string Options, string Program)
{
    /// <summary>True when no board was tested.</summary>
    public bool Simulated { get; init; }

    /// <summary>The board's serial number, as was said when the run began; null where it was not. A note may say another later.</summary>
    public string? Serial { get; init; }
}
