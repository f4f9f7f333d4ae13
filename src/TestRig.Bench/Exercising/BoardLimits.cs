using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>What a profile says of lines and stop inputs, as the limits that the device enforces.</summary>
internal static class BoardLimits
{
    /// <summary>The device accepts no program longer than half its heartbeat limit; the rest is for a host that is busy.</summary>
    private const int HeartbeatOverProgram = 3;

    /// <summary>Long enough to ask for the end of a program whose notice was lost. No line is ever on outside a program, so this is no on-time.</summary>
    private static readonly Duration _shortestHeartbeat = Duration.FromMilliseconds(5000);

    /// <param name="longest">The longest program that will run.</param>
    public static AdapterLimits Of(Board board, Duration longest) => new(
        [.. board.Lines.Select(line => new LineLimit(line.AdapterPin, line.Idle, line.LongestOn, line.Rest,
            [.. board.KeptApart.Where(pair => pair.First == line).Select(pair => pair.Second.AdapterPin),
             .. board.KeptApart.Where(pair => pair.Second == line).Select(pair => pair.First.AdapterPin)]))],
        [.. board.Stops.Where(stop => stop.Point.AdapterPin is not null).Select(stop => new StopLimit(
            stop.Point.AdapterPin!, stop.StopsAt, [.. stop.Lines.Select(line => line.AdapterPin)]))],
        [.. board.Multiplexers.SelectMany(multiplexer => multiplexer.SelectPins).Distinct(), .. board.Socket is { } socket ? (string[])[socket.Delay.AdapterPin] : []],
        Duration.Max(longest * HeartbeatOverProgram, _shortestHeartbeat));
}
