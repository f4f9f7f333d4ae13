using System.Text.Json.Serialization;

namespace TestRig.Bench.Serving;

public enum JobKind
{
    /// <summary>Every channel exercised and judged, once or a few times.</summary>
    Sweep,

    /// <summary>Sweeps one after the other, for hours.</summary>
    Soak,

    /// <summary>One channel, with one lead that somebody at the bench moves from point to point.</summary>
    Probe,
}

/// <summary>What a bench is to do.</summary>
/// <param name="For">Of a soak: how long; null where cycles count, or where it goes on with a run.</param>
/// <param name="Cycles">Of a soak: how many cycles; null where time counts, or where it goes on with a run.</param>
public sealed record JobRequest(JobKind Kind, TimeSpan? For = null, long? Cycles = null)
{
    /// <summary>A soak is no longer than this: whoever wants more asks again.</summary>
    public static readonly TimeSpan LongestSoak = TimeSpan.FromDays(30);

    /// <summary>Likewise.</summary>
    public const long MostCycles = 100_000_000;

    private const int MostRepeats = 1000;

    private const int LongestName = 100;

    /// <summary>With the motor supply on: the machine moves.</summary>
    public bool Motion { get; init; }

    /// <summary>Channels that share nothing at the same time.</summary>
    public bool Fast { get; init; }

    /// <summary>Of a sweep: how often every channel is exercised.</summary>
    public int Repeats { get; init; } = 1;

    /// <summary>Of guided probing: the channel; null of all else.</summary>
    public string? Channel { get; init; }

    /// <summary>Of a soak: lines stay idle, and whatever changes is wrong.</summary>
    public bool WatchIdle { get; init; }

    /// <summary>Of a soak: failing cycles that end it; null where it goes on whatever fails.</summary>
    public long? StopAfterFailures { get; init; }

    /// <summary>The board's serial number, for the record; null where it is not known.</summary>
    public string? Serial { get; init; }

    /// <summary>Of a soak: the run that it goes on with, as that was begun; null where it begins a new one.</summary>
    public string? Resume { get; init; }

    /// <summary>What does not fit together, and what would be right; null where nothing is wrong.</summary>
    [JsonIgnore]
    public string? Problem =>
        Kind != JobKind.Soak && (For is not null || Cycles is not null || WatchIdle || StopAfterFailures is not null || Resume is not null)
            ? "Only a soak has 'for', 'cycles', 'watchIdle', 'stopAfterFailures' and 'resume': leave them out, or ask for a soak."
        : Kind != JobKind.Probe && Channel is not null ? "Only guided probing is of one 'channel': leave it out."
        : Kind == JobKind.Probe && Channel is not { Length: > 0 and <= LongestName } ? "Say of which 'channel' the fault is to be found."
        : Kind == JobKind.Probe && (Fast || Repeats != 1 || Serial is not null) ? "Guided probing has no 'fast', 'repeats' or 'serial': leave them out."
        : Kind == JobKind.Sweep && Repeats is < 1 or > MostRepeats ? $"'repeats' is {Repeats}: write 1 to {MostRepeats}."
        : Kind == JobKind.Soak && Repeats != 1 ? "A soak has no 'repeats': each of its cycles is a sweep."
        : Kind == JobKind.Soak && Resume is not null && (For is not null || Cycles is not null || Motion || Fast || WatchIdle || StopAfterFailures is not null || Serial is not null)
            ? "A resumed run goes on as it was begun: leave all but 'resume' out."
        : Resume is { Length: 0 or > LongestName } || Resume?.Any(char.IsControl) == true || Channel?.Any(char.IsControl) == true ? $"'resume' and 'channel' are names, of at most {LongestName} characters, all of which can be read."
        : Kind == JobKind.Soak && Resume is null && For is null == Cycles is null ? "Say how long the soak goes on: either 'for', for example \"8h\", or 'cycles', for example 1000."
        : For is { } length && (length <= TimeSpan.Zero || length > LongestSoak) ? $"A soak goes on for at most {LongestSoak.TotalDays:0} days."
        : Cycles is < 1 or > MostCycles ? $"'cycles' is {Cycles}: write 1 to {MostCycles}."
        : StopAfterFailures is < 1 ? "'stopAfterFailures' is at least 1."
        : Serial is { Length: > LongestName } || Serial?.Any(char.IsControl) == true ? $"The serial number is at most {LongestName} characters, all of which can be read."
        : null;
}
