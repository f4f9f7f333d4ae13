using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;

namespace TestRig.Bench.Exercising;

/// <summary>From the adapter's pins to the test points that are seen at them now: names, and voltages as they are before the divider.</summary>
/// <param name="points">With a lead each, no two at one pin.</param>
public sealed class TestPointNames(ImmutableArray<TestPoint> points)
{
    private readonly Dictionary<string, TestPoint> _byPin = points.ToDictionary(point => point.AdapterPin!);

    /// <summary>The same capture with signals and levels by test-point name; pins without a test point are left out.</summary>
    public Capture Apply(Capture capture) => capture with
    {
        Signals = [.. capture.Signals
            .Where(signal => _byPin.ContainsKey(signal.Name))
            .Select(signal => signal with { Name = _byPin[signal.Name].Name })],
        Levels = Apply(capture.Levels),
        Ending = capture.Ending.StoppedBy is { } pin && _byPin.TryGetValue(pin, out var stop)
            ? capture.Ending with { StoppedBy = stop.Name }
            : capture.Ending,
    };

    public ImmutableArray<LevelReading> Apply(ImmutableArray<LevelReading> levels) =>
    [
        .. levels
            .Where(level => _byPin.ContainsKey(level.Signal))
            .Select(level => AtTestPoint(level, _byPin[level.Signal])),
    ];

    private static LevelReading AtTestPoint(LevelReading reading, TestPoint point) => point.Divider is { } divider
        ? reading.BeforeDivider(point.Name, divider.Ratio, divider.Tolerance)
        : reading with { Signal = point.Name };
}
