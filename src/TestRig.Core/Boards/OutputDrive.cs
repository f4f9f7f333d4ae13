using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>What an output does to its net while it drives it to one level: a voltage behind a resistance, up to a current where that is limited.</summary>
/// <param name="Volts">Against the ground of its own side, while it gives or takes the current that its data are for.</param>
/// <param name="Source">Its own resistance, typical: 0 where the data do not tell.</param>
/// <param name="OneWay">True when it can only give current into its net (an LS-TTL high) or only take it (an open collector): a stronger net wins.</param>
/// <param name="Limit">The current that it can give or take at most; null where nothing but <paramref name="Source"/> limits it.</param>
/// <param name="Origin">Where the figures come from.</param>
public sealed record OutputDrive(Bounds<Volts> Volts, Ohms Source, bool OneWay, Bounds<Amperes>? Limit, string Origin);
