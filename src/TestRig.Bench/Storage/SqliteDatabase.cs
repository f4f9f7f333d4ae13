using System.Data;
using System.Data.Common;
using System.Globalization;
using System.Security.Cryptography;
using Dapper;
using Microsoft.Data.Sqlite;
using TestRig.Bench.Files;

namespace TestRig.Bench.Storage;

/// <summary>A store in one file.</summary>
internal class SqliteDatabase : StoreDatabase
{
    /// <summary>How long a process waits for another's transaction before it gives up. A transaction of a cycle takes milliseconds; deleting a long run may take seconds.</summary>
    private const int PatienceSeconds = 30;

    /// <summary>Of 4096 bytes each.</summary>
    private const int PagesAtOnce = 1000;

    /// <summary>The low byte of a result code tells the kind of error; the others tell which of its kind (SQLite, Result and Error Codes).</summary>
    private const int KindOfError = 0xFF;

    private readonly SqliteConnectionStringBuilder _address;
    private readonly string _perConnection;

    /// <param name="path">Made, with its folder, when it is not there.</param>
    /// <param name="mostPages">Of 4096 bytes each: the file becomes no larger, as on a disk that is full then.</param>
    /// <exception cref="RunStorageException">The file cannot be made or written to.</exception>
    public SqliteDatabase(string path, int? mostPages = null)
    {
        Place = Path.GetFullPath(path);
        if (Directory.Exists(Place))
            throw new RunStorageException($"{Place} is a folder, not a {What}. Name a file in it.");
        WholeFile.Guarded(
            Place,
            () =>
            {
                Directory.CreateDirectory(Path.GetDirectoryName(Place)!);
                // An empty file is an empty database. Once it is made, opening never makes another: a store that vanished is an error, not an empty store.
                File.Open(Place, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.ReadWrite).Dispose();
                return true;
            },
            "another store with --store");
        _address = new() { DataSource = Place, Mode = SqliteOpenMode.ReadWrite, ForeignKeys = true, DefaultTimeout = PatienceSeconds };
        _perConnection = string.Create(
            CultureInfo.InvariantCulture,
            $"pragma busy_timeout = {PatienceSeconds * 1000}; pragma synchronous = full;{(mostPages is { } most ? $" pragma max_page_count = {most};" : "")}");
    }

    public override string Place { get; }

    private string NotThere => $"The {What} {Place} cannot be opened: it is not there any more, or its folder cannot be written. Put it back. {Elsewhere}.";

    public override string KeyType => "integer primary key";

    public override string BytesType => "blob";

    public override string Tables => "select name from sqlite_master where type = 'table'";

    /// <summary>A transaction that writes is the only one from its begin on.</summary>
    public override string Claim => "";

    /// <summary>Readers and one writer do not wait for each other then, and what is deleted can be given back. Both stay so in the file; the latter is decided before it has any table.</summary>
    public override Task SettleAsync(CancellationToken cancellation) => GuardedAsync(async () =>
    {
        await using var connection = await OpenAsync(cancellation);
        return await connection.ExecuteAsync(new CommandDefinition("pragma auto_vacuum = incremental; pragma journal_mode = wal", cancellationToken: cancellation));
    });

    /// <summary>A little at a time: others that write meanwhile wait no longer than for each other.</summary>
    public override Task GiveBackAsync(CancellationToken cancellation) => GuardedAsync(async () =>
    {
        await using var connection = await OpenAsync(cancellation);
        Task<long> FreeAsync() => connection.ExecuteScalarAsync<long>(new CommandDefinition("pragma freelist_count", cancellationToken: cancellation));
        var free = await FreeAsync();
        for (var before = long.MaxValue; free > 0 && free < before;)
        {
            await connection.ExecuteAsync(new CommandDefinition(string.Create(CultureInfo.InvariantCulture, $"pragma incremental_vacuum({PagesAtOnce})"), cancellationToken: cancellation));
            (before, free) = (free, await FreeAsync());
        }
        // Where others read or write, it happens when they have done so.
        return await connection.ExecuteAsync(new CommandDefinition("pragma wal_checkpoint(truncate)", cancellationToken: cancellation));
    });

    public override ValueTask DisposeAsync()
    {
        using var connection = new SqliteConnection(_address.ConnectionString);
        SqliteConnection.ClearPool(connection);
        return ValueTask.CompletedTask;
    }

    protected override async Task<DbConnection> OpenAsync(CancellationToken cancellation)
    {
        // A connection that is open already would go on in a file that nobody finds any more.
        if (!File.Exists(Place))
            throw new RunStorageException(NotThere);
        var connection = new SqliteConnection(_address.ConnectionString);
        try
        {
            await connection.OpenAsync(cancellation);
            await connection.ExecuteAsync(new CommandDefinition(_perConnection, cancellationToken: cancellation));
            // A function that PostgreSQL has by itself.
            connection.CreateFunction<byte[], byte[]>("sha256", SHA256.HashData, isDeterministic: true);
            return connection;
        }
        catch
        {
            await connection.DisposeAsync();
            throw;
        }
    }

    protected override ValueTask<DbTransaction> BeginReadAsync(DbConnection connection, CancellationToken cancellation) =>
        new(((SqliteConnection)connection).BeginTransaction(IsolationLevel.Serializable, deferred: true));

    protected override ValueTask<DbTransaction> BeginWriteAsync(DbConnection connection, CancellationToken cancellation) =>
        new(((SqliteConnection)connection).BeginTransaction(IsolationLevel.Serializable, deferred: false));

    protected override string Explain(DbException broken) => ((broken as SqliteException)?.SqliteErrorCode & KindOfError) switch
    {
        SQLitePCL.raw.SQLITE_FULL => $"The disk of the {What} {Place} is full. What was stored before is whole. Free some space. {Elsewhere}.",
        SQLitePCL.raw.SQLITE_NOTADB => $"{Place} is no {What} but a file of another kind. It was left as it is. {Elsewhere}.",
        SQLitePCL.raw.SQLITE_CORRUPT => $"The {What} {Place} is damaged. Keep a copy of it, then restore it from a backup. {Elsewhere}.",
        SQLitePCL.raw.SQLITE_READONLY or SQLitePCL.raw.SQLITE_PERM =>
            $"No permission to write the {What} {Place}. Make the file and its folder writable. {Elsewhere}.",
        SQLitePCL.raw.SQLITE_CANTOPEN => NotThere,
        SQLitePCL.raw.SQLITE_BUSY or SQLitePCL.raw.SQLITE_LOCKED =>
            $"Another program has kept the {What} {Place} to itself for {PatienceSeconds} s. End it. {Elsewhere}.",
        SQLitePCL.raw.SQLITE_IOERR => $"The disk of the {What} {Place} failed ({broken.Message.TrimEnd('.')}). Look after the disk. {Elsewhere}.",
        _ => $"The {What} {Place} failed ({broken.Message.TrimEnd('.')}). {Elsewhere} if it goes on.",
    };
}
