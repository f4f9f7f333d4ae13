using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Files;

/// <summary>
/// A profile as written: quantities read, names not yet looked up. A null field was left out, or was wrong and has been reported; which fields
/// are required has been checked by then.
/// </summary>
internal sealed record ProfileDocument(
    Written<string>? Name,
    WrittenController? Controller,
    ImmutableArray<WrittenSupply> Supplies,
    ImmutableArray<WrittenGround> Grounds,
    ImmutableArray<WrittenPart> Parts,
    ImmutableArray<WrittenLine> Lines,
    ImmutableArray<WrittenMultiplexer> Multiplexers,
    ImmutableArray<WrittenTestPoint> TestPoints,
    Written<int>? LinesOnTogether,
    ImmutableArray<(Written<string> First, Written<string> Second)> KeptApart,
    ImmutableArray<WrittenStop> Stops,
    ImmutableArray<WrittenChannel> Channels,
    ImmutableArray<string> Cautions)
{
    public WrittenSocket? Socket { get; init; }

    /// <summary>Null where it says nothing of recordings.</summary>
    public WrittenRecordings? Recordings { get; init; }

    /// <summary>The part types that it names, known or not.</summary>
    public IEnumerable<string> PartTypes =>
        Parts.Select(part => part.Type).Concat(Multiplexers.Select(multiplexer => multiplexer.Type)).OfType<Written<string>>().Select(type => type.Value);
}

/// <param name="At">Where the group stands.</param>
internal sealed record WrittenController(Written<string> At, Written<string>? DisabledBy, Written<string>? SensedAt, Written<Level>? Is);

internal sealed record WrittenSupply(
    Written<string> Name, Written<(Volts Nominal, double Tolerance)>? Volts, Written<string>? SensedAt, Written<bool>? Motion);

internal sealed record WrittenGround(Written<string> Name, Written<string>? IsolatedFrom, Written<string>? BridgedBecause);

internal sealed record WrittenPart(
    Written<string> Name, Written<string>? Type, Written<string>? Supply, Written<WrittenLed?>? Led, Written<WrittenOutput?>? Output,
    Written<Ohms>? Load, Written<Ohms>? PullUp, ImmutableArray<WrittenTie> Tied);

/// <param name="To">Null when it was wrong and has been reported.</param>
/// <param name="Is">Written only where it is a test point that the pin is wired to.</param>
internal sealed record WrittenTie(Written<string> Pin, Written<string>? To, Level? Is);

internal sealed record WrittenLed(Written<string>? From, Written<Ohms>? Resistor);

/// <param name="SaysWhere">True when the key 'taken-at' was there, right or wrong.</param>
internal sealed record WrittenOutput(Written<string>? From, Written<Ohms>? Load, bool SaysWhere, Written<bool>? TakenAtCollector);

internal sealed record WrittenLine(
    Written<string> Name,
    Written<string>? Adapter,
    Written<Level>? Idle,
    Written<bool>? Motion,
    Written<Duration>? LongestOn,
    Written<Duration>? Rest,
    WrittenHold Hold,
    Written<Ohms>? Series);

/// <summary>What holds a line while the adapter's pin floats. <paramref name="Any"/>: at least one key was there, right or wrong.</summary>
internal sealed record WrittenHold(
    bool Any,
    Written<(Ohms Resistor, Written<string> Supply)>? PullUp,
    Written<Ohms>? PullDown,
    Written<string>? HeldLowBy,
    Written<Level>? FloatsTo);

internal sealed record WrittenMultiplexer(Written<string> Name, Written<string>? Type, Written<string>? Common, ImmutableArray<Written<string>> Select);

internal sealed record WrittenTestPoint(
    Written<string> Name, Written<string>? Adapter, Written<(Ohms Upper, Ohms Lower, double? Tolerance)>? Divider, bool DividerBroken, Written<Ohms>? Series,
    Written<string>? Ground, Written<string>? Supply);

internal sealed record WrittenSocket(
    Written<string> At, Written<string>? Part, Written<string>? Anode, Written<string>? Cathode, Written<string>? Sink, Written<Ohms>? Ratio, Written<string>? RatioPin, Written<string>? RatioLow,
    Written<string>? DelayPin, Written<Ohms>? Bleeder, Written<double>? Tolerance);

/// <param name="All">True for "ends: all".</param>
internal sealed record WrittenStop(Written<string> Point, Written<Level>? Goes, bool All, ImmutableArray<Written<string>> Ends);

/// <param name="MotionOn">Null when it was left out, or broken.</param>
/// <param name="HasExercise">True when the key was there, right or wrong.</param>
internal sealed record WrittenChannel(
    Written<string> Name,
    Written<string>? Line,
    Written<string>? DrivenAt,
    ImmutableArray<WrittenSection?> Path,
    Written<Duration>? MotionOn,
    bool HasExercise,
    Written<string>? UndoneBy,
    ImmutableArray<WrittenFeedback> Feedback,
    ImmutableArray<WrittenOverride> Overrides);

/// <param name="Input">Null when only the part is named.</param>
internal sealed record WrittenSection(Written<string> Part, string? Input, string? Output);

internal sealed record WrittenFeedback(
    Written<string> Point,
    bool OfPulses,
    Written<(int Minimum, int Maximum)>? Pulses,
    Written<Duration>? Within,
    Written<int>? Bounces,
    Written<Duration>? SettlesWithin,
    Written<Duration>? Debounce);

internal sealed record WrittenOverride(
    Written<string> Point,
    Written<(Duration Earliest, Duration Latest)>? Rises,
    Written<(Duration Earliest, Duration Latest)>? Falls,
    Written<string>? Because);

internal sealed record WrittenRecordings(
    ImmutableArray<WrittenRecordedSignal> Signals, Written<string>? TimeColumn, Written<Duration>? TimeUnit, Written<Duration>? Resolution, Written<double>? ClockTolerance);

internal sealed record WrittenRecordedSignal(Written<string> Point, Written<string>? Name, Written<Volts>? Unit, Written<Volts>? LowAtMost, Written<Volts>? HighAtLeast);
