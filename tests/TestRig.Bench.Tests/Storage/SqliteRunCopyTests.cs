using TestRig.Bench.Storage;
using TestRig.Tests.Shared;

namespace TestRig.Bench.Tests.Storage;

public sealed class SqliteRunCopyTests : RunCopyTests
{
    private protected override Task<StoreDatabase> NewDatabaseAsync() => Task.FromResult<StoreDatabase>(new SqliteDatabase(Path.Combine(TestFolders.CreateInMemory().FullName, "shared.db")));
}
