namespace TestRig.Bench.Simulation;

/// <summary>
/// What a channel moves, and the channel that moves it back. Its position counts in seconds of travel at the speed of the motor, so that it needs no
/// length that a profile does not state.
/// </summary>
/// <param name="forward">True while the contactor of the one direction is in.</param>
/// <param name="backward">The same for the other direction.</param>
internal sealed class Axis(EventQueue time, Func<bool> forward, Func<bool> backward, bool motorSupplyOn, Random random)
{
    /// <summary>Common practice for a small geared motor.</summary>
    public const double SpinUpSeconds = 0.03;

    private const double CoastSeconds = 0.06;

    /// <summary>The motion is worked out in straight pieces of this length (250 µs).</summary>
    private const long Piece = 250_000_000;

    private readonly List<Encoder> _encoders = [];
    private readonly List<Cam> _cams = [];
    private readonly double _speed = Variation.Factor(random, 0.03);
    private double _position;
    private double _velocity;
    private bool _moving;

    public void Add(Encoder encoder) => _encoders.Add(encoder);

    public void Add(Cam cam) => _cams.Add(cam);

    /// <summary>Told when a contactor may have moved.</summary>
    public void Look()
    {
        if (_moving || !motorSupplyOn || Commanded() == 0)
            return;
        _moving = true;
        Move();
    }

    /// <summary>Both contactors at once are interlocked against each other: neither works.</summary>
    private int Commanded() => motorSupplyOn ? (forward() ? 1 : 0) - (backward() ? 1 : 0) : 0;

    private void Move()
    {
        const double seconds = Piece / 1e12;
        var wanted = Commanded() * _speed;
        var step = seconds / (wanted == 0 ? CoastSeconds : SpinUpSeconds);
        var before = _velocity;
        _velocity = Math.Abs(wanted - before) <= step ? wanted : before + (Math.Sign(wanted - before) * step);
        if (_velocity == 0 && wanted == 0)
        {
            _moving = false;
            return;
        }
        var travel = (before + _velocity) / 2 * seconds;
        foreach (var encoder in _encoders)
            encoder.Turn(time, travel, Piece);
        foreach (var cam in _cams)
            cam.Pass(time, _position, _position + travel, Piece);
        _position += travel;
        time.In(Piece, Move);
    }
}

/// <summary>An open-collector pick-up: low for the first half of each pulse.</summary>
/// <param name="forwardRate">Pulses for each second of travel forwards.</param>
/// <param name="backwardRate">The same backwards.</param>
internal sealed class Encoder(Net net, double forwardRate, double backwardRate, Random random)
{
    private const double OnVolts = 0.1, OnOhms = 50;

    private readonly Branch _output = net.Join(null);
    private double _phase = 0.6 + (0.3 * random.NextDouble());

    public void Turn(EventQueue time, double travel, long within)
    {
        var turned = Math.Abs(travel) * (travel > 0 ? forwardRate : backwardRate);
        var (from, to) = (_phase, _phase + turned);
        // Slow against the pieces of the motion: at most one edge falls into each.
        foreach (var edge in (ReadOnlySpan<double>)[Math.Ceiling(from), Math.Floor(from) + 0.5, Math.Floor(from) + 1.5])
        {
            if (edge <= from || edge > to)
                continue;
            var low = edge == Math.Floor(edge);
            time.In((long)(within * (edge - from) / turned), () => _output.Set(low ? new(OnVolts, OnOhms) : null));
        }
        _phase = to;
    }
}

/// <summary>A cam that works a contact between two positions.</summary>
internal sealed class Cam(Contact contact, double from, double to)
{
    public void Pass(EventQueue time, double before, double after, long within)
    {
        foreach (var (edge, up) in ((double, bool)[])[(from, true), (to, false)])
        {
            if ((before < edge) == (after < edge))
                continue;
            var closed = after > before ? up : !up;
            time.In((long)(within * (edge - before) / (after - before)), () => contact.Move(closed));
        }
    }
}
