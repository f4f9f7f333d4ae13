using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>One line pulsed over and over.</summary>
/// <param name="On">How long the line is on each time; the adapter times it.</param>
/// <param name="Every">From one pulse's start to the next one's; the host times it, so it is no measure of anything.</param>
/// <param name="Count">Pulses; null for until told to stop.</param>
/// <param name="Marker">
/// An adapter pin that goes high with each pulse, for the trigger of another instrument; null for none. It is nothing of the board's.
/// </param>
public sealed record PulsePlan(Line Line, Duration On, Duration Every, int? Count, string? Marker)
{
    /// <summary>Quiet time before each pulse: the device takes no earlier step, and what moves by itself is seen.</summary>
    public static readonly Duration LeadIn = Duration.FromMilliseconds(1);

    /// <summary>Watched after each pulse: long enough for a contact or an encoder to show that something moved.</summary>
    public static readonly Duration Watched = Duration.FromMilliseconds(20);

    public Duration ProgramLength => LeadIn + On + Watched;

    /// <summary>Everything that forbids this plan, each as a sentence with its remedy; empty when nothing does.</summary>
    public IReadOnlyList<string> Problems(Board board, IAdapter adapter)
    {
        var problems = new List<string>();
        if (On > Line.LongestOn)
            problems.Add($"--on {On} is longer than line '{Line.Name}' may be on: {Line.LongestOn} (longest-on in the profile). Write at most that.");
        else if (adapter.Identity.StepLateness is var late && On + late > Line.LongestOn)
            problems.Add($"--on {On}: this adapter may be {late} late to end it, and line '{Line.Name}' may be on for {Line.LongestOn} at most (longest-on in the profile). Write at most {Duration.Max(Line.LongestOn - late, Duration.Zero)}, or use an adapter with our own firmware.");
        if (Every < On + Line.Rest)
            problems.Add($"--every {Every} leaves line '{Line.Name}' no rest: {On} on and {Line.Rest} rest (in the profile) need {On + Line.Rest} or more.");
        if (ProgramLength > adapter.Identity.LongestProgram)
            problems.Add($"--on {On} is too long for this adapter, which runs {adapter.Identity.LongestProgram} at a time at most. Write at most {adapter.Identity.LongestProgram - LeadIn - Watched}.");
        if (Marker is { } marker)
        {
            var used = UsesOf(board, marker).FirstOrDefault();
            var free = adapter.Pins
                .Where(pin => pin.Line && !UsesOf(board, pin.Name).Any())
                .Select(pin => pin.Name)
                .ToList();
            var remedy = free.Count > 0 ? $"Free pins that can: {string.Join(", ", free)}." : "No pin of this adapter is free for it.";
            if (used is not null)
                problems.Add($"--marker {marker}: {used} of the profile is wired to that pin. {remedy}");
            else if (!adapter.Pins.Any(pin => pin.Name == marker && pin.Line))
                problems.Add($"--marker {marker}: this adapter cannot drive such a pin. {remedy}");
        }
        return problems;
    }

    private static IEnumerable<string> UsesOf(Board board, string pin) => board.Lines.Where(line => line.AdapterPin == pin).Select(line => $"line '{line.Name}'")
        .Concat(board.TestPoints.Where(point => point.AdapterPin == pin).Select(point => $"test point {point.Name}"))
        .Concat(board.Multiplexers.Where(multiplexer => multiplexer.SelectPins.Contains(pin)).Select(multiplexer => $"multiplexer {multiplexer.Name}"));
}
