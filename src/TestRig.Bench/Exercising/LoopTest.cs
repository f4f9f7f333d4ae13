using System.Collections.Immutable;
using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;

namespace TestRig.Bench.Exercising;

/// <summary>
/// An adapter's test of itself: one of its drive pins, wired to one of its inputs, is switched on and off again and again, and the delay from each
/// planned instant to the change is measured on the adapter's own clock.
/// </summary>
/// <remarks>
/// Averaging over repeats helps only where the stimulus is not locked to the looks, so each repeat comes a few ticks later in the row of looks than the one before.
/// </remarks>
public static class LoopTest
{
    /// <summary>Short, so that a device with little memory for steps and changes takes a program of them.</summary>
    private const int PulsesPerProgram = 8;

    /// <summary>Prime, so that it meets every phase of a row of looks that is not a multiple of it.</summary>
    private const int PhaseTicks = 7;

    private const int Phases = 64;

    private static readonly Duration _leadIn = Duration.FromMilliseconds(1);
    private static readonly Duration _shortestHalf = Duration.FromMicroseconds(500);

    /// <summary>Each half of a pulse is seen by more than one look, and stands clear of the steps around it.</summary>
    private const int ResolutionsPerHalf = 4;

    private static readonly Duration _heartbeat = Duration.FromMilliseconds(5000);

    /// <param name="line">The drive pin, by the adapter's own name.</param>
    /// <param name="input">The input that a wire joins to it.</param>
    /// <param name="repeats">At least 1.</param>
    /// <exception cref="ProfileMismatchException">One of the pins is not there, or cannot do it. Nothing was driven.</exception>
    /// <exception cref="AdapterException">The adapter or its link failed.</exception>
    public static async Task<LoopResult> RunAsync(IAdapter adapter, string line, string input, int repeats, CancellationToken cancellation)
    {
        CheckPins(adapter, line, input);
        var half = Duration.Max(_shortestHalf, adapter.Identity.Resolution * ResolutionsPerHalf);
        var changes = new Dictionary<(string Pin, Level To), List<MeasuredDelay>>();
        string[] watched = adapter.Pins.Any(pin => pin.Name == line && pin.Sense) ? [line, input] : [input];
        foreach (var pin in watched)
        {
            changes[(pin, Level.High)] = [];
            changes[(pin, Level.Low)] = [];
        }
        var stamped = new Dictionary<Level, List<(Duration At, FineStamp Stamp)>> { [Level.High] = [], [Level.Low] = [] };
        var unusable = new Dictionary<Level, string>();
        var fine = adapter.Pins.Any(pin => pin.Name == input && (pin.Fine || pin.Crossing));
        var edge = adapter.Pins.Any(pin => pin.Name == input && pin.Crossing) ? PinEdge.Wire : null;
        await adapter.ArmAsync(new([new(line, Level.Low, half * 2, Duration.Zero, [])], [], [], Duration.Max(_heartbeat, half * (2 * PulsesPerProgram * 3))), cancellation);
        try
        {
            for (var done = 0; done < repeats; done += PulsesPerProgram)
            {
                var edges = Edges(done, Math.Min(PulsesPerProgram, repeats - done), half, adapter.Identity.Tick);
                var program = new StimulusProgram(
                    [.. edges.Select(edge => new LinesStep(edge.At, edge.To == Level.High ? [line] : []))], edges[^1].At + half);
                var run = await adapter.RunAsync(program, cancellation);
                cancellation.ThrowIfCancellationRequested();
                foreach (var pin in watched)
                    Measure(run.Capture, pin, edges, program.Length, changes);
            }
            // Hardware stamps one change in a run.
            for (var done = 0; fine && done < repeats; done++)
            {
                foreach (var level in stamped.Keys)
                {
                    if (await StampAsync(adapter, line, new(input, level) { Edge = edge }, done, stamped[level], cancellation) is { } why)
                        unusable[level] = why;
                }
            }
        }
        finally
        {
            await adapter.ReleaseAsync(CancellationToken.None);
        }
        return new(
            line, input, repeats, adapter.Identity.Resolution,
            [.. changes.Select(entry => LoopDelays.Of(entry.Key.Pin, entry.Key.To, entry.Value))])
        {
            Fine = fine ? [.. stamped.Select(entry => LoopFine.Of(input, entry.Key, entry.Value, adapter.Identity.ClockTolerance, unusable.GetValueOrDefault(entry.Key)))] : [],
        };
    }

    /// <returns>Why there was no stamp that can be used; null when there was one.</returns>
    private static async Task<string?> StampAsync(
        IAdapter adapter, string line, FinePoint point, int done, List<(Duration At, FineStamp Stamp)> stamped, CancellationToken cancellation)
    {
        var edges = Edges(done, 1, _shortestHalf, adapter.Identity.Tick);
        var program = new StimulusProgram([.. edges.Select(edge => new LinesStep(edge.At, edge.To == Level.High ? [line] : []))], edges[^1].At + _shortestHalf)
        {
            Fine = point,
        };
        var run = await adapter.RunAsync(program, cancellation);
        cancellation.ThrowIfCancellationRequested();
        var at = edges.Single(edge => edge.To == point.Level).At;
        if (run.Fine?.Stamp is { } stamp)
            stamped.Add((at, stamp with { Coarse = stamp.Coarse.NotBefore(Instant.Start + at) })); // what only follows the line did not change before its step
        return run.Fine?.Unusable;
    }

    private static void CheckPins(IAdapter adapter, string line, string input)
    {
        var problems = new List<string>();
        void Need(string name, Func<AdapterPin, bool> can, string what)
        {
            if (!adapter.Pins.Any(pin => pin.Name == name && can(pin)))
                problems.Add($"Adapter pin {name} cannot {what}. Pins that can: {string.Join(", ", adapter.Pins.Where(can).Select(pin => pin.Name))}.");
        }

        Need(line, pin => pin.Line, "drive a line");
        Need(input, pin => pin.Sense, "be sampled");
        if (line == input)
            problems.Add($"{line} cannot be looped to itself: name the pin that the wire from it goes to.");
        if (problems.Count > 0)
            throw new ProfileMismatchException(problems);
    }

    private static ImmutableArray<(Duration At, Level To)> Edges(int first, int pulses, Duration half, Duration tick)
    {
        var edges = ImmutableArray.CreateBuilder<(Duration, Level)>();
        for (var pulse = 0; pulse < pulses; pulse++)
        {
            var at = _leadIn + (half * (2 * pulse)) + (tick * ((first + pulse) * PhaseTicks % Phases));
            edges.Add((at, Level.High));
            edges.Add((at + half, Level.Low));
        }
        return edges.ToImmutable();
    }

    private static void Measure(
        Capture capture,
        string pin,
        ImmutableArray<(Duration At, Level To)> edges,
        Duration end,
        Dictionary<(string Pin, Level To), List<MeasuredDelay>> delays)
    {
        if (capture.Find(pin) is not { } signal)
            return;
        for (var index = 0; index < edges.Length; index++)
        {
            var at = Instant.Start + edges[index].At;
            var next = Instant.Start + (index + 1 < edges.Length ? edges[index + 1].At : end);
            var arrival = Arrival.Of(signal, at, next);
            // Anything but one clean change is no loop: a bouncing contact, or something else that drives the pin.
            if (arrival is not { Changes: [var change], After: var after } || after != edges[index].To)
                continue;
            // The look before may be older than the step, but what only follows the line did not change before it (link-protocol.md, section 9).
            var followed = change with { After = Instant.Max(change.After, at) };
            delays[(pin, after)].Add(MeasuredDelay.Between(new(at, at, after), followed, capture.ClockTolerance));
        }
    }
}
