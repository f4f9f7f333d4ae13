using TestRig.Core.Quantities;

namespace TestRig.Bench.Plotting;

/// <summary>A stretch in which a contact bounced: drawn larger beside its place where it is small against the axis.</summary>
/// <param name="Words">"4 more transitions in 2.1 ms".</param>
public sealed record BounceInset(Instant From, Instant To, string Words);
