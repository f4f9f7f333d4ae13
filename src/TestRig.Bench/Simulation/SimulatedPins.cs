using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>All sensed pins of the simulated adapter. The pins of one look are not read at one instant: what a look shows of a pin is a little old.</summary>
internal sealed class SimulatedPins
{
    private readonly SimulatedBoard _board;
    private readonly Dictionary<string, int> _index = [];
    private readonly Level[] _seen;
    private readonly Level[] _now;
    private readonly long[] _age;
    private readonly PriorityQueue<(int Pin, Level Level), (long Visible, long Order)> _coming = new();
    private long _order;

    public SimulatedPins(SimulatedBoard board, AdapterFigures figures, Random random)
    {
        _board = board;
        Names = [.. board.Lines.Keys, .. board.Senses.Keys];
        for (var pin = 0; pin < Names.Length; pin++)
            _index[Names[pin]] = pin;
        _now = [.. Names.Select(name => board.Lines.TryGetValue(name, out var line) ? line.Level : board.Senses[name].Level)];
        _seen = [.. _now];
        // First to last port, and a pin's own synchroniser.
        _age = [.. Names.Select(_ => (long)((0.5 + ((figures.Skew - 1) * random.NextDouble())) * figures.Tick.Picoseconds))];
        board.PinChanged = (name, level) =>
        {
            var pin = _index[name];
            _now[pin] = level;
            _coming.Enqueue((pin, level), (board.Time.Now + _age[pin], _order++));
            Changed?.Invoke(name, level);
        };
    }

    public ImmutableArray<string> Names { get; }

    /// <summary>Told at the true instant of each change.</summary>
    public Action<string, Level>? Changed { get; set; }

    /// <summary>When the next change that happened becomes visible; <see cref="long.MaxValue"/> when all are.</summary>
    public long NextVisible => _coming.TryPeek(out _, out var key) ? key.Visible : long.MaxValue;

    /// <summary>By index in <see cref="Names"/>, what the look showed whose last pin was read at the latest instant of <see cref="LookAt"/>.</summary>
    public ReadOnlySpan<Level> Seen => _seen;

    /// <summary>Looks at an instant of the bench, not before the one of the look before. False when nothing came since then.</summary>
    public bool LookAt(long instant)
    {
        var came = false;
        while (_coming.TryPeek(out var change, out var key) && key.Visible <= instant)
        {
            _coming.Dequeue();
            _seen[change.Pin] = change.Level;
            came = true;
        }
        return came;
    }

    public int IndexOf(string pin) => _index[pin];

    /// <summary>The level of the pin itself, now.</summary>
    public Level LevelOf(string pin) => LevelOf(_index[pin]);

    /// <summary>The same by the pin's index in <see cref="Names"/>.</summary>
    public Level LevelOf(int pin) => _now[pin];

    public double VoltsAt(string pin) => _board.Senses[pin].Volts;
}
