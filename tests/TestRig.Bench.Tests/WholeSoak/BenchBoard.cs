using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The board on the bench, in the world's time. It outlives whatever is plugged to it.</summary>
internal sealed class BenchBoard
{
    /// <summary>Longer than any path takes to follow, and short for an axis.</summary>
    private static readonly TimeSpan _settles = TimeSpan.FromMilliseconds(50);

    private readonly World _world;
    private readonly Board _board;
    private readonly Variation _variation;
    private readonly bool _motorSupplyOn;
    private readonly Checker _checker;
    private IReadOnlyCollection<string> _selected = [];
    private readonly byte[] _numbers;
    private readonly long _ahead;

    public BenchBoard(World world, Board board, FaultPlan faults, Variation variation, bool motorSupplyOn, Checker checker)
    {
        (_world, _board, _variation, _motorSupplyOn, _checker) = (world, board, variation, motorSupplyOn, checker);
        Converter = new(variation);
        Pins = new(new(board, faults, variation, motorSupplyOn), AdapterFigures.Reference, variation.For("pins")) { Changed = (pin, _) => LookAt(pin) };
        _numbers = [.. Pins.Names.Select(FirmwarePins.NumberOf)];
        _ahead = Board.Time.Now - world.Now;
    }

    public SimulatedBoard Board => Pins.Board;

    public SimulatedPins Pins { get; }

    public Converter Converter { get; }

    /// <summary>The world's instant of the board's own now, in picoseconds.</summary>
    private long Instant => Board.Time.Now - _ahead;

    /// <summary>Of the world's instant on the board's clock.</summary>
    public long OnBoard(long instant) => instant + _ahead;

    /// <summary>From now on this is broken, and nothing else: a supply that drops out, or comes back, at once. Whoever drives lines has come to the world's instant.</summary>
    public void Becomes(FaultPlan faults)
    {
        GoOnTo(_world.Now);
        var other = new SimulatedBoard(_board, faults, _variation, _motorSupplyOn);
        // What is driven now has been for a while, and nothing of it is under way.
        other.Time.RunUntil(Board.Time.Now - World.Picoseconds(_settles));
        other.Select(_selected);
        foreach (var (pin, lead) in Board.Lines)
            other.Drive(pin, lead.Driven);
        other.Time.RunUntil(Board.Time.Now);
        Pins.MoveTo(other);
    }

    /// <summary>Lets the board go on to the world's instant.</summary>
    public void GoOnTo(long instant) => Board.Time.RunUntil(OnBoard(instant));

    public void Drive(string pin, Level? level)
    {
        if (!Board.Lines.ContainsKey(pin))
            return;
        GoOnTo(_world.Now);
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
