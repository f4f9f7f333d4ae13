using TestRig.Core.Boards;
using TestRig.Core.Judging;

namespace TestRig.Bench.Exercising;

/// <summary>Progress of a sweep, for whoever shows it.</summary>
public abstract record SweepEvent;

/// <summary>A check before or after driving is done.</summary>
/// <param name="Good">False when something has to be put right. True, too, of a check that could not be made: see <paramref name="Made"/>.</param>
/// <param name="Made">False when nothing of it could be checked, because the adapter has no means or the profile names nothing to look at; no verdict rests on it then.</param>
public sealed record CheckDone(string Name, bool Good, string Words, bool Made = true) : SweepEvent;

public sealed record ChannelStarted(Channel Channel) : SweepEvent;

/// <summary>What channels did together was not clear: each is exercised alone.</summary>
public sealed record ExercisedAgain(System.Collections.Immutable.ImmutableArray<Channel> Channels) : SweepEvent;

/// <summary>One round of several is done: every channel was exercised once more.</summary>
/// <param name="Number">From 1.</param>
/// <param name="Results">What this round found, in profile order; channels that it did not reach are left out.</param>
public sealed record RoundDone(int Number, int Of, System.Collections.Immutable.ImmutableArray<ChannelResult> Results) : SweepEvent;

/// <summary>A channel's result is final; of several rounds, all of them together.</summary>
public sealed record ChannelJudged(ChannelResult Result) : SweepEvent;
