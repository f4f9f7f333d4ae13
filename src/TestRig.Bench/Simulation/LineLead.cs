using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Bench.Simulation;

/// <summary>A line's lead: the adapter's output stage, the resistor in the lead, and the pin read back at itself (values from memory).</summary>
internal sealed class LineLead
{
    private const double AdapterSupply = 5, Threshold = 2.5, TapOhms = 1;

    private static readonly double OutputOhms = Line.OutputStage.Value;

    private readonly Net _net;
    private readonly double _leadOhms;
    private readonly Branch? _tap;
    private readonly Branch? _drive;
    private readonly Level? _diedAt;
    private readonly Action<LineLead> _changed;

    /// <param name="open">The lead does not reach the board.</param>
    /// <param name="diedAt">The level that a dead output gives whenever it should give any; null for one that works.</param>
    /// <param name="ohms">Of the resistor in the lead.</param>
    /// <param name="changed">Told at each change of the pin's level.</param>
    /// <param name="atPin">The net at the adapter's end of that resistor; null where nothing reads it.</param>
    public LineLead(string pin, Net net, double ohms, bool open, Level? diedAt, Action<LineLead> changed, Net? atPin = null)
    {
        (Pin, _net, _leadOhms, _diedAt, _changed) = (pin, net, ohms, diedAt, changed);
        _tap = atPin?.Join(new(0, TapOhms));
        _drive = open ? null : net.Join(null);
        net.Listen(Look);
        Look();
    }

    public string Pin { get; }

    /// <summary>What the adapter drives it to; null while the pin is released.</summary>
    public Level? Driven { get; private set; }

    public Level Level { get; private set; }

    public void Set(Level? level)
    {
        Driven = level is null ? null : _diedAt ?? level;
        _drive?.Set(Driven is { } driven ? new(Of(driven), OutputOhms + _leadOhms) : null);
        Look();
    }

    private static double Of(Level level) => level == Level.High ? AdapterSupply : 0;

    private void Look()
    {
        // Released and open, the pin has lost what charge it had long ago.
        var outside = _drive is null ? null : _net.Volts;
        var volts = Driven is not { } driven ? outside ?? 0
            : outside is { } held ? Of(driven) + ((held - Of(driven)) * OutputOhms / (OutputOhms + _leadOhms))
            : Of(driven);
        _tap?.Set(new(volts, TapOhms));
        var level = volts > Threshold ? Level.High : Level.Low;
        if (level == Level)
            return;
        Level = level;
        _changed(this);
    }
}
