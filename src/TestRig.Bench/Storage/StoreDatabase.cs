using System.Data.Common;
using TestRig.Bench.Files;

namespace TestRig.Bench.Storage;

/// <summary>The database that a store is in: how it is reached, what its types are called, and what its errors mean. All else is the same SQL for each.</summary>
internal abstract class StoreDatabase : IAsyncDisposable
{
    /// <summary>For people: without a password.</summary>
    public abstract string Place { get; }

    /// <summary>What it is, for people.</summary>
    public virtual string What => "run store";

    /// <summary>What to do where this one cannot be used: a sentence without its full stop.</summary>
    public virtual string Elsewhere => "Name another store with --store";

    /// <summary>The type of a number that the database gives each row, and by which it is known.</summary>
    public abstract string KeyType { get; }

    public abstract string BytesType { get; }

    /// <summary>A statement that lists the tables that there are.</summary>
    public abstract string Tables { get; }

    /// <summary>The first statement of a transaction that changes the schema: no other process does the same until it ends.</summary>
    public abstract string Claim { get; }

    /// <summary>All in one transaction that changes nothing, and sees nothing of what others change meanwhile.</summary>
    /// <exception cref="RunStorageException">The database cannot be reached, or holds what cannot be read.</exception>
    public virtual Task<T> ReadAsync<T>(Func<StoreLink, Task<T>> read, CancellationToken cancellation) => InTransactionAsync(read, BeginReadAsync, cancellation);

    /// <summary>All in one transaction: when this returns, it is durable; when it throws, nothing of it was done.</summary>
    /// <exception cref="RunStorageException">The database cannot be reached, is full, or refuses.</exception>
    public virtual Task<T> WriteAsync<T>(Func<StoreLink, Task<T>> write, CancellationToken cancellation) => InTransactionAsync(write, BeginWriteAsync, cancellation);

    /// <summary>Sets what belongs to the database and not to a connection, once it is known to be a store, or empty.</summary>
    public abstract Task SettleAsync(CancellationToken cancellation);

    /// <summary>Gives the disk back what was deleted.</summary>
    public abstract Task GiveBackAsync(CancellationToken cancellation);

    public abstract ValueTask DisposeAsync();

    protected abstract Task<DbConnection> OpenAsync(CancellationToken cancellation);

    protected abstract ValueTask<DbTransaction> BeginReadAsync(DbConnection connection, CancellationToken cancellation);

    protected abstract ValueTask<DbTransaction> BeginWriteAsync(DbConnection connection, CancellationToken cancellation);

    /// <summary>What went wrong, where, and what to do.</summary>
    protected abstract string Explain(DbException broken);

    /// <summary>Turns what the database says into what a person can do about it.</summary>
    protected async Task<T> GuardedAsync<T>(Func<Task<T>> work)
    {
        try
        {
            return await work();
        }
        catch (DbException broken)
        {
            throw new RunStorageException(Explain(broken), broken);
        }
        catch (Exception unreadable) when (unreadable is IOException or FormatException or InvalidDataException or OverflowException)
        {
            throw new RunStorageException(
                $"The {What} {Place} holds what this version of testrig cannot read ({unreadable.Message.TrimEnd('.')}). Update testrig, or restore it from a backup.", unreadable);
        }
    }

    private Task<T> InTransactionAsync<T>(
        Func<StoreLink, Task<T>> work, Func<DbConnection, CancellationToken, ValueTask<DbTransaction>> begin, CancellationToken cancellation) =>
        GuardedAsync(async () =>
        {
            await using var connection = await OpenAsync(cancellation);
            await using var transaction = await begin(connection, cancellation);
            var result = await work(new(connection, transaction, cancellation));
            // A commit that is given up may have happened: whoever is told that it was cancelled could not rely on that.
            await transaction.CommitAsync(CancellationToken.None);
            return result;
        });
}
