using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Core.Scheduling;

/// <summary>One step of a program that runs on the adapter against its own timer. <paramref name="At"/> counts from the program's start.</summary>
public abstract record StimulusStep(Duration At);

/// <summary>From now on exactly these lines are on (given by adapter pin); all others are idle.</summary>
public sealed record LinesStep(Duration At, ImmutableArray<string> OnPins) : StimulusStep(At);

/// <summary>The voltages at these adapter pins are read, <paramref name="Samples"/> conversions each. Nothing else is watched meanwhile.</summary>
public sealed record MeasureStep(Duration At, ImmutableArray<string> Pins, int Samples) : StimulusStep(At);
