using System.Collections.Immutable;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>All sensed pins of the simulated adapter. The pins of one look are not read at one instant: what a look shows of a pin is a little old.</summary>
internal sealed class SimulatedPins
{
    private readonly Dictionary<string, int> _index = [];
    private readonly Level[] _seen;
    private readonly Level[] _now;
    private readonly long[] _age;
    private readonly PriorityQueue<(int Pin, Level Level), (long Visible, long Order)> _coming = new();
    private long _order;

    public SimulatedPins(SimulatedBoard board, AdapterFigures figures, Random random)
    {
        Board = board;
        if (figures.OnlyRecords)
        {
            foreach (var lead in board.Senses.Values)
                lead.BecomeProbe();
        }
        Names = [.. board.Lines.Keys, .. board.Senses.Keys];
        for (var pin = 0; pin < Names.Length; pin++)
            _index[Names[pin]] = pin;
        _now = [.. Names.Select(name => LevelAt(board, name))];
        _seen = [.. _now];
        // First to last port, and a pin's own synchroniser.
        _age = [.. Names.Select(_ => (long)((0.5 + ((figures.Skew - 1) * random.NextDouble())) * figures.Tick.Picoseconds))];
        board.PinChanged = (name, level) => Become(_index[name], level);
    }

    /// <summary>Where the leads are.</summary>
    public SimulatedBoard Board { get; private set; }

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

    /// <summary>From now on the board is another: what is otherwise there changes now.</summary>
    /// <param name="board">With the same leads, and its time as far as the one's until now.</param>
    public void MoveTo(SimulatedBoard board)
    {
        Board.PinChanged = null;
        Board = board;
        board.PinChanged = (name, level) => Become(_index[name], level);
        for (var pin = 0; pin < Names.Length; pin++)
        {
            if (LevelAt(board, Names[pin]) is var level && level != _now[pin])
                Become(pin, level);
        }
    }

    public int IndexOf(string pin) => _index[pin];

    /// <summary>The level of the pin itself, now.</summary>
    public Level LevelOf(string pin) => LevelOf(_index[pin]);

    /// <summary>The same by the pin's index in <see cref="Names"/>.</summary>
    public Level LevelOf(int pin) => _now[pin];

    public double VoltsAt(string pin) => Board.Senses[pin].Volts;

    private static Level LevelAt(SimulatedBoard board, string pin) => board.Lines.TryGetValue(pin, out var line) ? line.Level : board.Senses[pin].Level;

    private void Become(int pin, Level level)
    {
        _now[pin] = level;
        _coming.Enqueue((pin, level), (Board.Time.Now + _age[pin], _order++));
        Changed?.Invoke(Names[pin], level);
    }
}
