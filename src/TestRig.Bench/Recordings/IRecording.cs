using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Recordings;

/// <summary>A recorded file as it streams by, whatever its format.</summary>
internal interface IRecording : IDisposable
{
    /// <summary>What is looked at of it; at most one in levels and one in volts for each test point.</summary>
    ImmutableArray<BoundSignal> Signals { get; }

    /// <summary>The program that wrote it, as the file says; empty where it does not.</summary>
    string WrittenBy { get; }

    /// <summary>The step of its times.</summary>
    Duration Step { get; }

    /// <summary>How far before its stamp a change may have been made, where nothing nearer is told.</summary>
    Duration Resolution { get; }

    /// <summary>True where a value lasts until another is told, false where it is told again and again.</summary>
    bool TellsChangesOnly { get; }

    /// <summary>What has to be said of how it was understood; empty where nothing has.</summary>
    string Remarks { get; }

    /// <summary>One exercise of ours, which says itself what was planned; null of what others recorded. It is read instead of the values.</summary>
    StatedCapture? Stated { get; }

    /// <summary>Until where it was read. Instants count from the file's own start.</summary>
    Instant Now { get; }

    /// <summary>The next value, in order of time; false at the end.</summary>
    /// <exception cref="RecordingException">The file has a mistake there.</exception>
    bool Next(out RecordedValue value);
}
