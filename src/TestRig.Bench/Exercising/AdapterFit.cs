using TestRig.Bench.Adapters;
using TestRig.Core.Boards;

namespace TestRig.Bench.Exercising;

/// <summary>Does this adapter have the pins that a profile names, and can they do what is asked of them?</summary>
internal static class AdapterFit
{
    /// <exception cref="ProfileMismatchException">With all problems, not only the first.</exception>
    public static void Check(Board board, IAdapter adapter)
    {
        var pins = adapter.Pins.ToDictionary(pin => pin.Name);
        var problems = new List<string>();

        void Need(string pin, string what, Func<AdapterPin, bool> can, string capability)
        {
            if (!pins.TryGetValue(pin, out var found))
                problems.Add($"{what} is wired to adapter pin {pin}, which {adapter.Identity.Board} does not have.");
            else if (!can(found))
                problems.Add($"{what} is wired to adapter pin {pin}, which {capability}. Pins that can: {(pins.Values.Any(can) ? string.Join(", ", pins.Values.Where(can).Select(candidate => candidate.Name)) : "none with its firmware")}.");
        }

        foreach (var line in board.Lines)
            Need(line.AdapterPin, $"Line '{line.Name}'", pin => pin.Line, "cannot drive a line");
        // A supply's voltage is read and nothing else, so a pin that leads to the converter alone will do.
        var supplies = board.Supplies.Select(supply => supply.SensedAt).Except(board.Channels.SelectMany(channel => channel.Stages).Select(stage => stage.Output)).ToHashSet();
        foreach (var point in board.TestPoints.Where(point => point.AdapterPin is not null && !supplies.Contains(point)))
            Need(point.AdapterPin!, $"Test point {point.Name}", pin => pin.Sense, "is not sampled");
        foreach (var multiplexer in board.Multiplexers)
        {
            foreach (var pin in multiplexer.SelectPins)
                Need(pin, $"A select pin of multiplexer {multiplexer.Name}", candidate => candidate.Select, "cannot select a multiplexer's input");
        }
        foreach (var load in board.Socket?.Loads ?? [])
            Need(load.AdapterPin, $"A load of the socket, {load.Resistance},", candidate => candidate.Select, "cannot be low and float in turn, as a select pin is");
        foreach (var tap in board.Socket?.Taps.Append(board.Socket.Emitter) ?? [])
            Need(tap.AdapterPin!, $"Test point {tap.Name}", pin => pin.Analog, "cannot read a voltage");
        foreach (var supply in board.Supplies.Where(supply => supply.SensedAt?.AdapterPin is not null))
            Need(supply.SensedAt!.AdapterPin!, $"Supply '{supply.Name}'", pin => pin.Analog, "cannot read a voltage");
        foreach (var stop in board.Stops.Where(stop => stop.Point.AdapterPin is not null))
            Need(stop.Point.AdapterPin!, $"Stop input {stop.Point.Name}", pin => pin.Stop, "cannot end a line in the device");
        problems.AddRange(TooHigh(board, adapter.Identity));
        if (problems.Count > 0)
            throw new ProfileMismatchException(problems);
    }

    /// <summary>
    /// The profile was checked against an adapter that runs from 5 V; this one may take less. A line's pin gets what the line is pulled up to while it is
    /// released, whether a test point reads it back or not.
    /// </summary>
    private static IEnumerable<string> TooHigh(Board board, AdapterIdentity adapter)
    {
        var most = adapter.PinMaximum;
        foreach (var point in board.TestPoints)
        {
            var line = board.Channels.FirstOrDefault(channel => channel.DrivenAt.Name == point.Name)?.Line;
            if ((line?.AdapterPin ?? point.LeadEnd) is not { } pin || (line is null ? point.HighestAtAdapter : line.PulledUpTo) is not { } reached || reached <= most)
                continue;
            var remedy = line is not null
                ? "pull the line up to a supply that this adapter takes, or use an adapter that runs from 5 V"
                : Divider.For(point.Highest!.Value, most) is { } divider
                ? $"put a divider in its lead (test-points.{point.Name} in the profile, 'divider: {divider.Upper} / {divider.Lower}'), or use an adapter that takes more"
                : "it cannot be sampled through a plain divider: use an adapter that takes more";
            yield return $"{(line is null ? $"Test point {point.Name}" : $"Line '{line.Name}'")} can put {reached} on {pin}, and a pin of {adapter.Board} takes {most} at most: {remedy}.";
        }
    }
}
