using TestRig.Core.Boards;

namespace TestRig.Bench.Simulation;

/// <summary>A load of the socket and the adapter pin that takes it into the circuit.</summary>
internal sealed class SimulatedLoad
{
    private const double TapOhms = 1;

    private readonly Net _emitter;
    private readonly Branch _load;
    private readonly double _ohms;
    private readonly Branch? _tap;

    /// <param name="ohms">What the resistor really has.</param>
    /// <param name="lowEnd">The test point at the adapter's end; null where there is none.</param>
    public SimulatedLoad(SocketLoad load, double ohms, Net emitter, Net? lowEnd)
    {
        (Pin, _ohms, _emitter) = (load.AdapterPin, ohms, emitter);
        _load = emitter.Join(null);
        _tap = lowEnd?.Join(new(0, TapOhms));
        emitter.Listen(Follow);
    }

    public string Pin { get; }

    /// <summary>Low, or floating.</summary>
    public void Set(bool low)
    {
        _load.Set(low ? new(0, _ohms + Line.OutputStage.Value) : null);
        Follow();
    }

    private void Follow() => _tap?.Set(new(_load.Drive is null ? _emitter.Volts ?? 0 : -_load.Current * Line.OutputStage.Value, TapOhms));
}
