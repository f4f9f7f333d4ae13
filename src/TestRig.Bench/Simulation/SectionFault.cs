namespace TestRig.Bench.Simulation;

/// <summary>How a section of a part fails.</summary>
internal enum SectionFaultMode
{
    None,

    /// <summary>A logic output stays as it is while nothing is commanded; a transistor never conducts.</summary>
    Dead,
    StuckLow,
    StuckHigh,

    /// <summary>The other kind of buffer was fitted.</summary>
    Inverted,

    /// <summary>When commanded, its output gets only into the undefined region.</summary>
    Weak,

    /// <summary>Both delays are longer by a factor.</summary>
    Slow,

    /// <summary>A share of activations does nothing.</summary>
    Intermittent,

    /// <summary>Both delays grow by a share in each hour that the bench is on: what ages, or gets warm.</summary>
    Drifting,

    /// <summary>Its enable is lost: it drives nothing.</summary>
    Disabled,

    /// <summary>The package has no supply.</summary>
    NoSupply,

    /// <summary>It is not in its socket.</summary>
    Removed,
}

/// <param name="Amount">The factor of a slow section; the share of lost activations of an intermittent one, 0..1; the share by which a drifting one grows in an hour; otherwise without meaning.</param>
internal readonly record struct SectionFault(SectionFaultMode Mode, double Amount)
{
    public static readonly SectionFault None;
}
