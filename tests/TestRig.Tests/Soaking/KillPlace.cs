namespace TestRig.Tests.Soaking;

/// <summary>Where in a soak a kill is aimed at. Each then waits a random time more.</summary>
internal enum KillPlace
{
    /// <summary>Some time after the process began.</summary>
    StartUp,

    /// <summary>Some time after it found the adapter.</summary>
    Preparation,

    /// <summary>A line is on.</summary>
    Burst,

    /// <summary>The store's file has just changed.</summary>
    Commit,

    Anywhere,
}
