using System.Globalization;
using TestRig.Bench.Reporting;
using TestRig.Bench.Soaking;

namespace TestRig.Bench.Serving;

/// <summary>Jobs, in the words of every screen.</summary>
public static class JobWords
{
    /// <summary>"soak for 8 h, with motion", "sweep, 3 times".</summary>
    public static string Of(JobRequest request)
    {
        var parts = new List<string>
        {
            request.Channel is { } channel ? $"guided probing of {channel}"
            : request.Resume is { } run ? $"soak, going on with {run}"
            : request.For is { } length ? $"soak for {Length(length)}"
            : request.Cycles is { } cycles ? $"soak for {SoakWords.Cycles(cycles)}"
            : request.Repeats > 1 ? $"sweep, {Words.Count(request.Repeats, "time")}"
            : "sweep",
        };
        if (request.WatchIdle)
            parts.Add("watching idle lines");
        if (request.Motion)
            parts.Add("with motion");
        if (request.Fast)
            parts.Add("channels together");
        if (request.StopAfterFailures is { } failures)
            parts.Add(failures == 1 ? "to the first failure" : $"to the {failures}th failing cycle");
        if (request.Serial is { } serial)
            parts.Add($"board {serial}");
        return string.Join(", ", parts);
    }

    public static string Of(JobState state) => state switch
    {
        JobState.Waiting => "waiting",
        JobState.Running => "running",
        JobState.Interrupted => "interrupted",
        JobState.Done => "done",
        JobState.Stopped => "stopped",
        JobState.Failed => "failed",
        JobState.Refused => "refused",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "Unknown state."),
    };

    /// <summary>A time with its unit, as it can be written again: "8 h", "90 min", "45 s".</summary>
    public static string Length(TimeSpan length) =>
        length.Ticks % TimeSpan.TicksPerHour == 0 ? string.Create(CultureInfo.InvariantCulture, $"{length.TotalHours} h")
        : length.Ticks % TimeSpan.TicksPerMinute == 0 ? string.Create(CultureInfo.InvariantCulture, $"{length.TotalMinutes} min")
        : string.Create(CultureInfo.InvariantCulture, $"{length.TotalSeconds} s");
}
