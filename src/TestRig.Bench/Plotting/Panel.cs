using System.Collections.Immutable;
using TestRig.Core.Captures;

namespace TestRig.Bench.Plotting;

/// <summary>One row of a picture: one point of the channel.</summary>
/// <param name="Name">The point, e.g. "OK3.5".</param>
/// <param name="What">What it is, e.g. "OK3 4N25, output".</param>
/// <param name="Signal">Null when it was not captured.</param>
/// <param name="StandingWords">The standing as words, e.g. "FIRST WRONG".</param>
/// <param name="Words">What was found here, a phrase a line.</param>
/// <param name="FirstWrong">The mark at the first wrong transition; null in all other panels.</param>
public sealed record Panel(
    string Name,
    string What,
    Signal? Signal,
    PanelStanding Standing,
    string StandingWords,
    ImmutableArray<string> Words,
    ImmutableArray<ExpectedWindow> Windows,
    ImmutableArray<DelayNote> Delays,
    ImmutableArray<LevelNote> Levels,
    WrongMark? FirstWrong)
{
    /// <summary>Null where nothing bounced.</summary>
    public BounceInset? Bounce { get; init; }

    /// <summary>The same point of another capture, on its own time axis; null where none is laid over.</summary>
    public Signal? Overlay { get; init; }
}
