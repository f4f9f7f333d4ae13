using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The board on the bench, in the world's time. It outlives whatever is plugged to it.</summary>
internal sealed class BenchBoard
{
    private readonly World _world;
    private readonly Board _board;
    private readonly Variation _variation;
    private readonly bool _motorSupplyOn;
    private readonly Checker _checker;
    private readonly Dictionary<string, Level> _driven = [];
    private IReadOnlyCollection<string> _selected = [];
    private byte[] _numbers = [];
    private long _ahead;

    public BenchBoard(World world, Board board, FaultPlan faults, Variation variation, bool motorSupplyOn, Checker checker)
    {
        (_world, _board, _variation, _motorSupplyOn, _checker) = (world, board, variation, motorSupplyOn, checker);
        Converter = new(variation);
        Becomes(faults);
    }

    public SimulatedBoard Board { get; private set; } = null!;

    public SimulatedPins Pins { get; private set; } = null!;

    public Converter Converter { get; }

    /// <summary>The world's instant of the board's own now, in picoseconds.</summary>
    private long Instant => Board.Time.Now - _ahead;

    /// <summary>Of the world's instant on the board's clock.</summary>
    public long OnBoard(long instant) => instant + _ahead;

    /// <summary>From now on this is broken, and nothing else: a supply that drops out, or comes back. Not in the middle of a burst.</summary>
    public void Becomes(FaultPlan faults)
    {
        Board = new SimulatedBoard(_board, faults, _variation, _motorSupplyOn);
        Pins = new SimulatedPins(Board, AdapterFigures.Reference, _variation.For("pins"));
        _numbers = [.. Pins.Names.Select(FirmwarePins.NumberOf)];
        _ahead = Board.Time.Now - _world.Now;
        foreach (var (pin, level) in _driven)
            Board.Drive(pin, level);
        Board.Select(_selected);
        Pins.Changed = (pin, _) => LookAt(pin);
        foreach (var pin in Board.Lines.Keys)
            LookAt(pin);
    }

    /// <summary>Lets the board go on to the world's instant.</summary>
    public void GoOnTo(long instant) => Board.Time.RunUntil(OnBoard(instant));

    public void Drive(string pin, Level? level)
    {
        if (!Board.Lines.ContainsKey(pin))
            return;
        GoOnTo(_world.Now);
        if (level is { } held)
            _driven[pin] = held;
        else
            _driven.Remove(pin);
        Board.Drive(pin, level);
        // A line that nothing pulls stays where it is when it is released: no change of its level tells that it is off.
        LookAt(pin);
    }

    public void ReleaseAll()
    {
        foreach (var pin in Board.Lines.Keys)
            Drive(pin, null);
    }

    /// <param name="high">Select pins; all others are low, or nobody drives them, and they are pulled low.</param>
    public void Select(IReadOnlyCollection<string> high)
    {
        GoOnTo(_world.Now);
        _selected = high;
        Board.Select(high);
    }

    private void LookAt(string pin)
    {
        if (Board.Lines.TryGetValue(pin, out var lead))
            _checker.LineIs(pin, lead.Driven is null ? null : lead.Level, Instant);
    }

    /// <summary>The levels of all pins now, as the firmware's snapshot: pins that lead nowhere are low.</summary>
    public byte[] Snapshot()
    {
        var snapshot = new byte[FirmwarePins.SnapshotBytes];
        for (var index = 0; index < _numbers.Length; index++)
            FirmwareRecords.Set(snapshot, _numbers[index], Pins.LevelOf(index));
        return snapshot;
    }
}
