using System.Data.Common;
using Dapper;
using Microsoft.Data.Sqlite;
using TestRig.Bench.Files;
using TestRig.Bench.Storage;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

public sealed class SqliteRunStoreTests : RunStoreTests
{
    private static readonly byte[] _header = "SQLite format 3\0"u8.ToArray();

    private protected override string Tables => "select name from sqlite_master where type = 'table'";

    private protected override Task<string> NewPlaceAsync() => Task.FromResult(Path.Combine(TestFolders.Create().FullName, "not yet there", "runs.db"));

    private protected override Task<DbConnection> ConnectAsync() => ConnectAsync(Place);

    private protected override Task BreakAsync(string table) => ExecuteAsync($"create trigger broken_{table} before insert on {table} begin select raise(abort, 'broken by the test'); end");

    private protected override Task MendAsync(string table) => ExecuteAsync($"drop trigger broken_{table}");

    private static async Task<DbConnection> ConnectAsync(string path)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false }.ConnectionString);
        await connection.OpenAsync();
        return connection;
    }

    private static Task<RunStorageException> RefusedAsync(string path) => Assert.ThrowsAsync<RunStorageException>(async () => await (await RunStores.OpenAsync(path, CancellationToken.None)).DisposeAsync());

    [Fact]
    public async Task The_file_is_where_it_was_wanted_and_is_written_ahead()
    {
        Assert.Equal(Place, Store.Place);
        Assert.Equal(_header, (await File.ReadAllBytesAsync(Place))[..16]);
        await using var connection = await ConnectAsync();
        Assert.Equal("wal", await connection.ExecuteScalarAsync<string>("pragma journal_mode"));
    }

    [Fact]
    public async Task The_disk_gets_back_what_was_deleted()
    {
        var session = await Store.BeginAsync("long");
        await Store.BeginAsync("short");
        for (var number = 1; number <= 400; number++)
            await Store.AppendAsync(session, SomeRun.FailedCycle(number) with { Words = new string('x', 2000) });
        await using var connection = await ConnectAsync();
        var before = await connection.ExecuteScalarAsync<long>("pragma page_count");
        await Store.DeleteAsync("long", CancellationToken.None);
        Assert.InRange(await connection.ExecuteScalarAsync<long>("pragma page_count"), 1, before / 3);
        Assert.InRange(new FileInfo(Place).Length, 1, before / 3 * 4096);
        Assert.Equal("ok", await connection.ExecuteScalarAsync<string>("pragma integrity_check"));
        Assert.Equal("short", Assert.Single(await Store.ListAsync(new(), CancellationToken.None)).Heading.Id);
    }

    /// <summary>The file is allowed so many pages and no more, as on a disk that is full then: the error is SQLite's own.</summary>
    [Fact]
    public async Task On_a_full_disk_the_cycle_is_refused_and_all_before_it_is_there()
    {
        var place = await NewPlaceAsync();
        var appended = 0L;
        await using (var small = await RunStores.OpenInAsync(new SqliteDatabase(place, mostPages: 60), CancellationToken.None))
        {
            var session = await small.BeginAsync("run");
            var full = await Assert.ThrowsAsync<RunStorageException>(async () =>
            {
                for (var number = 1; number < 10_000; number++)
                {
                    await small.AppendAsync(session, SomeRun.FailedCycle(number));
                    appended = number;
                }
            });
            Assert.Contains($"The disk of the run store {place} is full", full.Message, StringComparison.Ordinal);
            Assert.Contains("--store", full.Message, StringComparison.Ordinal);
        }
        Assert.InRange(appended, 1, 9_999);
        await using var roomy = await RunStores.OpenAsync(place, CancellationToken.None);
        Assert.Equal(Enumerable.Range(1, (int)appended).Select(number => SomeRun.Text(SomeRun.FailedCycle(number))), (await roomy.CyclesAsync("run")).Select(SomeRun.Text));
        var resumed = await roomy.OpenSessionAsync("run", SomeRun.Session(), CancellationToken.None);
        Assert.Equal(appended, resumed.Cycles);
        await roomy.AppendAsync(resumed, SomeRun.Cycle(appended + 1));
    }

    [Fact]
    public async Task A_file_of_another_kind_is_refused_and_left_as_it_is()
    {
        var path = Path.Combine(TestFolders.Create().FullName, "letter.txt");
        var letter = string.Concat(Enumerable.Repeat("Dear Sir or Madam, ", 400));
        await File.WriteAllTextAsync(path, letter);
        var refused = await RefusedAsync(path);
        Assert.Contains($"{path} is no run store", refused.Message, StringComparison.Ordinal);
        Assert.Equal(letter, await File.ReadAllTextAsync(path));
    }

    [Fact]
    public async Task A_database_of_another_program_is_refused_and_left_as_it_is()
    {
        var path = Path.Combine(TestFolders.Create().FullName, "recipes.db");
        await using (var connection = await ConnectAsync(path))
            await connection.ExecuteAsync("create table recipe (name text)");
        var before = await File.ReadAllBytesAsync(path);
        var refused = await RefusedAsync(path);
        Assert.Contains($"{path} is no run store but a database of another program", refused.Message, StringComparison.Ordinal);
        Assert.Equal(before, await File.ReadAllBytesAsync(path));
    }

    [Fact]
    public async Task A_damaged_file_is_told_with_its_place_and_the_remedy()
    {
        var session = await Store.BeginAsync("run");
        for (var number = 1; number <= 300; number++)
            await Store.AppendAsync(session, SomeRun.FailedCycle(number));
        await Store.DisposeAsync();
        var bytes = await File.ReadAllBytesAsync(Place);
        // The first page, with the schema, stays: the file still looks like a store.
        new Random(1).NextBytes(bytes.AsSpan(4096));
        await File.WriteAllBytesAsync(Place, bytes);
        var refused = await RefusedAsync(Place);
        Assert.Contains($"The run store {Place} is damaged", refused.Message, StringComparison.Ordinal);
        Assert.Contains("backup", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_folder_is_no_store()
    {
        var folder = TestFolders.Create().FullName;
        Assert.Contains($"{folder} is a folder", (await RefusedAsync(folder)).Message, StringComparison.Ordinal);
    }

    /// <summary>In these folders of the kernel nobody, not even root, can make a file.</summary>
    [Theory]
    [InlineData("/sys/runs.db")]
    [InlineData("/sys/testrig/runs.db")]
    [InlineData("/proc/testrig/runs.db")]
    public async Task A_folder_that_cannot_be_written_is_told_with_its_place_and_the_remedy(string path)
    {
        var refused = await RefusedAsync(path);
        Assert.Contains(path, refused.Message, StringComparison.Ordinal);
        Assert.Contains("another store with --store", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_store_that_vanished_is_an_error_and_no_new_one_is_made()
    {
        var session = await Store.BeginAsync("run");
        File.Delete(Place);
        var refused = await Assert.ThrowsAsync<RunStorageException>(() => Store.AppendAsync(session, SomeRun.Cycle(1)));
        Assert.Contains($"The run store {Place} cannot be opened: it is not there any more", refused.Message, StringComparison.Ordinal);
        Assert.False(File.Exists(Place));
    }

    [Fact]
    public async Task Without_a_name_the_store_is_where_the_environment_says_and_else_in_the_users_folder_for_data()
    {
        var folder = TestFolders.Create().FullName;
        var (said, data) = (Environment.GetEnvironmentVariable(RunStores.Variable), Environment.GetEnvironmentVariable("XDG_DATA_HOME"));
        try
        {
            Environment.SetEnvironmentVariable("XDG_DATA_HOME", folder);
            Environment.SetEnvironmentVariable(RunStores.Variable, Path.Combine(folder, "said.db"));
            Assert.Equal(Path.Combine(folder, "said.db"), await PlaceAsync());
            Environment.SetEnvironmentVariable(RunStores.Variable, "");
            Assert.Equal(Path.Combine(folder, "testrig", "runs.db"), await PlaceAsync());
        }
        finally
        {
            Environment.SetEnvironmentVariable(RunStores.Variable, said);
            Environment.SetEnvironmentVariable("XDG_DATA_HOME", data);
        }

        static async Task<string> PlaceAsync()
        {
            await using var store = await RunStores.OpenAsync(null, CancellationToken.None);
            Assert.True(File.Exists(store.Place));
            return store.Place;
        }
    }
}
