namespace TestRig.Commands;

/// <summary>What the program tells its caller. Fixed: scripts rely on it.</summary>
internal static class ExitCode
{
    public const int AllWorking = 0;
    public const int FaultsFound = 1;
    public const int BadUsage = 2;
    public const int Adapter = 3;
    public const int Safety = 4;
    public const int Storage = 5;

    /// <summary>Something could not be judged, and nothing was judged faulty.</summary>
    public const int Incomplete = 6;
}
