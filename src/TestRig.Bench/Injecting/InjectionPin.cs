using TestRig.Bench.Adapters;
using TestRig.Bench.Exercising;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Injecting;

/// <summary>Which adapter pin drives the transistor.</summary>
internal static class InjectionPin
{
    /// <summary>Of the simulated bench, whose adapter has whatever pins a profile names: those that our own board drives lines with.</summary>
    private static readonly AdapterPin[] _simulated =
        [.. Enumerable.Range(22, 8).Select(number => new AdapterPin(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"D{number}"), Line: true, Sense: true, Analog: false, Stop: false))];

    /// <summary>
    /// The named one, or the first that is free; where none is, that of the channel's own line, if it idles low as the transistor's does: forgotten at its place, its lead then commands no more than a sweep
    /// would. A lead that idles high, left where it is, would be a command that does not end.
    /// </summary>
    /// <param name="named">Null for the first that will do.</param>
    /// <exception cref="ProfileMismatchException">There is no such pin, or it cannot drive a line, or another lead is there.</exception>
    public static string On(Board board, Channel channel, string? named, IAdapter adapter)
    {
        var used = AdapterPins.Of(board);
        var lines = (adapter.Identity.IsSimulated ? adapter.Pins.Where(pin => pin.Line).Concat(_simulated).DistinctBy(pin => pin.Name) : adapter.Pins.Where(pin => pin.Line)).Select(pin => pin.Name).ToList();
        var own = channel.Line is { Idle: Level.Low } line ? line.AdapterPin : null;
        var possible = lines.Where(pin => !used.Contains(pin)).Concat(lines.Where(pin => pin == own)).ToList();
        var listed = possible.Count == 0
            ? "None is free: take a line that does not matter out of a copy of the profile, and its lead off"
            : $"Pins that can: {string.Join(", ", possible)}";
        if (named is null)
            return possible.FirstOrDefault() ?? throw new ProfileMismatchException([$"The transistor needs a pin of {adapter.Identity.Board} that can drive a line. {listed}."]);
        return possible.Contains(named)
            ? named
            : throw new ProfileMismatchException([used.Contains(named)
                ? $"Adapter pin {named} has another lead in this profile. {listed}."
                : $"Adapter pin {named} cannot drive a line, or {adapter.Identity.Board} does not have it. {listed}."]);
    }
}
