using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters;

/// <summary>The limits that the device enforces by itself from arming on.</summary>
/// <param name="Selects">
/// Pins that choose the input of an analog multiplexer in front of the adapter. Outputs at low from arming on; <see cref="IAdapter.SelectAsync"/> changes
/// them. None of them is a line, a stop input or a sampled input.
/// </param>
/// <param name="Heartbeat">All lines idle and disarmed when the host is silent for this long; more than twice the longest program.</param>
public sealed record AdapterLimits(ImmutableArray<LineLimit> Lines, ImmutableArray<StopLimit> Stops, ImmutableArray<string> Selects, Duration Heartbeat);

/// <param name="KeptApart">Pins of lines that must not be on together with this one.</param>
public sealed record LineLimit(string Pin, Level Idle, Duration LongestOn, Duration Rest, ImmutableArray<string> KeptApart);

/// <param name="StopsAt">The level at which the lines must not be on.</param>
/// <param name="Lines">Pins of the lines that it ends and forbids.</param>
public sealed record StopLimit(string Pin, Level StopsAt, ImmutableArray<string> Lines);
