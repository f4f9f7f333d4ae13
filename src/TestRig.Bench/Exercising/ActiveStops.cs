using TestRig.Bench.Adapters;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Exercising;

/// <summary>Why an adapter refused to drive a line: it knows only its own pins, a technician the board's test points.</summary>
internal static class ActiveStops
{
    /// <summary>Which of a line's stop inputs is in its stopping state, by test point; null when none is any more.</summary>
    /// <exception cref="AdapterException">The adapter or its link failed.</exception>
    public static async Task<string?> WordsAsync(Board board, IAdapter adapter, Line line, CancellationToken cancellation)
    {
        var inputs = await adapter.ReadInputsAsync(cancellation);
        var active = board.Stops
            .Where(stop => stop.Point.AdapterPin is { } pin && stop.Lines.Contains(line) && inputs[pin] == stop.StopsAt)
            .Select(stop => $"{stop.Point.Name} is {stop.StopsAt.Word()}")
            .ToList();
        return active.Count == 0
            ? null
            : $"{string.Join(" and ", active)}, which forbids line '{line.Name}'. Nothing was driven. Release the emergency stop when the cause is known, or move the axis off its limit, or check that input's switch and lead; then start again.";
    }
}
