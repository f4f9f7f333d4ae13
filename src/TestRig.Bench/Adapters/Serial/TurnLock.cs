using System.Threading.Channels;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// One at a time, in the order in which they asked. Unlike a semaphore, whose waits with a cancellation go through the thread pool, it comes back to whoever waits in his own context.
/// </summary>
internal sealed class TurnLock
{
    private readonly Channel<bool> free = Channel.CreateBounded<bool>(1);

    public TurnLock() => Release();

    /// <summary>After it, <see cref="Release"/> has to be called.</summary>
    public async ValueTask TakeAsync(CancellationToken cancellation) => await free.Reader.ReadAsync(cancellation);

    public void Release() => free.Writer.TryWrite(true);
}
