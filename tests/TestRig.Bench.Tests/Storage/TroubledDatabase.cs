using System.Data.Common;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;

namespace TestRig.Bench.Tests.Storage;

/// <summary>A database that is away when a test wants it to be. What it did until then is really done, or really undone.</summary>
internal sealed class TroubledDatabase(StoreDatabase inner) : StoreDatabase
{
    private long _due = long.MaxValue;

    /// <summary>Statements so far; that a transaction is ended is one, too.</summary>
    public long Statements { get; private set; }

    /// <summary>What happens at the statement that trouble was wanted at.</summary>
    public Trouble Trouble { get; private set; }

    public override string Place => inner.Place;

    public override string KeyType => inner.KeyType;

    public override string BytesType => inner.BytesType;

    public override string Tables => inner.Tables;

    public override string Claim => inner.Claim;

    /// <summary>While it is, nothing is done, not even begun.</summary>
    public bool IsAway { get; set; }

    /// <summary>While it does, no answer comes to what changes anything.</summary>
    public bool Hangs { get; set; }

    private CancellationTokenSource? Cancelled { get; set; }

    /// <summary>Once, when so many statements more have been sent.</summary>
    public void WantTrouble(Trouble trouble, long statements, CancellationTokenSource? cancelled = null) => (Trouble, _due, Cancelled) = (trouble, Statements + statements, cancelled);

    public void WantNoTrouble() => _due = long.MaxValue;

    public override Task<T> ReadAsync<T>(Func<StoreLink, Task<T>> read, CancellationToken cancellation) =>
        IsAway ? Task.FromException<T>(Away()) : inner.ReadAsync(link => TroubledAsync(read, link, cancellation), cancellation);

    public override async Task<T> WriteAsync<T>(Func<StoreLink, Task<T>> write, CancellationToken cancellation)
    {
        if (IsAway)
            throw Away();
        if (Hangs)
            await Task.Delay(Timeout.InfiniteTimeSpan, cancellation);
        var before = Statements;
        var written = await inner.WriteAsync(link => TroubledAsync(write, link, cancellation), cancellation);
        if (Trouble == Trouble.AnswerLost && before < _due && Statements >= _due)
            throw Away();
        return written;
    }

    public override Task SettleAsync(CancellationToken cancellation) => inner.SettleAsync(cancellation);

    public override Task GiveBackAsync(CancellationToken cancellation) => inner.GiveBackAsync(cancellation);

    public override ValueTask DisposeAsync() => inner.DisposeAsync();

    protected override Task<DbConnection> OpenAsync(CancellationToken cancellation) => throw Unused();

    protected override ValueTask<DbTransaction> BeginReadAsync(DbConnection connection, CancellationToken cancellation) => throw Unused();

    protected override ValueTask<DbTransaction> BeginWriteAsync(DbConnection connection, CancellationToken cancellation) => throw Unused();

    protected override string Explain(DbException broken) => throw Unused();

    private static InvalidOperationException Unused() => new("All goes through the database that this one stands before.");

    private RunStorageException Away()
    {
        _due = long.MaxValue;
        return new($"{Place} is away, as the test wants it.", new TimeoutException("away"));
    }

    private async Task<T> TroubledAsync<T>(Func<StoreLink, Task<T>> work, StoreLink link, CancellationToken cancellation)
    {
        var done = await work(link.Watched(_ => Count(cancellation)));
        Count(cancellation);
        return done;
    }

    private void Count(CancellationToken cancellation)
    {
        Statements++;
        if (Statements != _due)
            return;
        if (Trouble == Trouble.Away)
            throw Away();
        if (Trouble == Trouble.Cancelled)
        {
            Cancelled!.Cancel();
            cancellation.ThrowIfCancellationRequested();
        }
    }
}
