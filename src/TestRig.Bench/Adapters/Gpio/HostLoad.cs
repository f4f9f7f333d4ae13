namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// Keeps this computer's cores busy until disposed, one thread for each: looks are measured in the company that they may have to keep, not on an idle computer.
/// </summary>
internal sealed class HostLoad : IDisposable
{
    private readonly Thread[] _threads;
    private volatile bool _ending;

    public HostLoad()
    {
        _threads = [.. Enumerable.Range(0, Environment.ProcessorCount).Select(_ => new Thread(Spin) { IsBackground = true, Name = "load while looks are measured" })];
        foreach (var thread in _threads)
            thread.Start();
    }

    public void Dispose()
    {
        _ending = true;
        foreach (var thread in _threads)
            thread.Join();
    }

    private void Spin()
    {
        while (!_ending)
            Thread.SpinWait(1000);
    }
}
