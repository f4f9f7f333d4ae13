namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>A store that is not as ours is, to see that it is found out.</summary>
internal enum StoreFault
{
    None,

    /// <summary>It says that a cycle is stored, and does not store it.</summary>
    Loses,

    /// <summary>It stores a cycle twice, once more under the next number.</summary>
    Doubles,
}
