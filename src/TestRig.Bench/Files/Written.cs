namespace TestRig.Bench.Files;

/// <summary>A value with the place and the keys where it was written, so that a later check can still point there.</summary>
internal sealed record Written<T>(T Value, Place Place, string KeyPath);
