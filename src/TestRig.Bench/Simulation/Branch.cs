namespace TestRig.Bench.Simulation;

/// <summary>Which way current may go through a branch.</summary>
internal enum Flow
{
    Both,

    /// <summary>Only into the net: an LED from its supply, an LS-TTL output that is high (its upper transistor cannot sink).</summary>
    IntoNet,

    /// <summary>Only out of the net: what keeps a current source from lifting it further.</summary>
    OutOfNet,
}

/// <summary>A voltage behind a resistance.</summary>
internal readonly record struct Drive(double Volts, double Ohms, Flow Flow = Flow.Both);

/// <summary>What one thing does to a net: drives it, or nothing.</summary>
internal sealed class Branch(Net net, Drive? drive)
{
    public Drive? Drive { get; private set; } = drive;

    /// <summary>The current into the net, in amperes; negative out of it.</summary>
    public double Current => Drive is { } held && net.Volts is { } volts && (held.Flow == Flow.Both || (volts < held.Volts) == (held.Flow == Flow.IntoNet))
        ? (held.Volts - volts) / held.Ohms
        : 0;

    public void Set(Drive? now)
    {
        if (now == Drive)
            return;
        Drive = now;
        net.Settle();
    }
}
