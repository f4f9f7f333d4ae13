namespace TestRig.Bench.Recordings;

/// <summary>The value of one bit of a value change dump (IEEE 1364-2005 clause 18.2.1).</summary>
public enum FourState
{
    Zero,
    One,

    /// <summary>Unknown.</summary>
    X,

    /// <summary>High impedance: nothing drives it.</summary>
    Z,
}
