using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>All sensed pins of the simulated adapter. The pins of one look are not read at one instant: what a look shows of a pin is a little old.</summary>
internal sealed class SimulatedPins
{
    private readonly SimulatedBoard _board;
    private readonly Dictionary<string, int> _index = [];
    private readonly Level[] _seen;
    private readonly long[] _age;
    private readonly PriorityQueue<(int Pin, Level Level), (long Visible, long Order)> _coming = new();
    private long _order;

    public SimulatedPins(SimulatedBoard board, AdapterFigures figures, Random random)
    {
        _board = board;
        Names = [.. board.Lines.Keys, .. board.Senses.Keys];
        for (var pin = 0; pin < Names.Length; pin++)
            _index[Names[pin]] = pin;
        _seen = [.. Names.Select(LevelOf)];
        // First to last port, and a pin's own synchroniser.
        _age = [.. Names.Select(_ => (long)((0.5 + ((figures.Skew - 1) * random.NextDouble())) * figures.Tick.Picoseconds))];
        board.PinChanged = (name, level) =>
        {
            var pin = _index[name];
            _coming.Enqueue((pin, level), (board.Time.Now + _age[pin], _order++));
            Changed?.Invoke(name, level);
        };
    }

    public ImmutableArray<string> Names { get; }

    /// <summary>Told at the true instant of each change.</summary>
    public Action<string, Level>? Changed { get; set; }

    /// <summary>When the next change that happened becomes visible; <see cref="long.MaxValue"/> when all are.</summary>
    public long NextVisible => _coming.TryPeek(out _, out var key) ? key.Visible : long.MaxValue;

    /// <summary>What a look shows whose last pin is read at this instant of the bench.</summary>
    public Level[] SeenAt(long instant)
    {
        while (_coming.TryPeek(out var change, out var key) && key.Visible <= instant)
        {
            _coming.Dequeue();
            _seen[change.Pin] = change.Level;
        }
        return [.. _seen];
    }

    /// <summary>The level of the pin itself, now.</summary>
    public Level LevelOf(string pin) => _board.Lines.TryGetValue(pin, out var line) ? line.Level : _board.Senses[pin].Level;

    public double VoltsAt(string pin) => _board.Senses[pin].Volts;
}
