namespace TestRig.Core.Quantities;

/// <summary>What a quantity is on a good board: at least, typically, at most.</summary>
public readonly record struct Bounds<T>(T Minimum, T Typical, T Maximum)
    where T : struct;
