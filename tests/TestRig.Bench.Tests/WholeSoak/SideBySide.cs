using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>Worlds on all processors, each with a thread and a folder of its own: nothing that one does is seen in another, so a seed's history stays what it is alone.</summary>
internal sealed class SideBySide
{
    private readonly Lock _taking = new();
    private readonly DirectoryInfo[] _folders;

    /// <param name="worlds">At a time: 1 or more.</param>
    public SideBySide(int worlds) => _folders = [.. Enumerable.Range(0, worlds).Select(_ => TestFolders.CreateInMemory())];

    /// <summary>Returns when all have ended.</summary>
    /// <param name="scenarios">One is taken when a world is free for it, never by two at once.</param>
    /// <param name="ended">Told of each, in the order in which they end, never of two at once.</param>
    /// <param name="history">Gets everything that happens; of one world at a time only.</param>
    public void Run(IEnumerable<Scenario> scenarios, Action<SeedOutcome> ended, TextWriter? history = null)
    {
        using var next = scenarios.GetEnumerator();
        Task.WaitAll([.. _folders.Select(folder => Task.Factory.StartNew(() => Work(folder), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default))]);

        void Work(DirectoryInfo folder)
        {
            while (Take() is { } scenario)
            {
                var outcome = SoakWorld.RunScenario(scenario, folder, history);
                lock (_taking)
                    ended(outcome);
            }
        }

        Scenario? Take()
        {
            lock (_taking)
                return next.MoveNext() ? next.Current : null;
        }
    }
}
