using TestRig.Bench.Storage;

namespace TestRig.Bench.Tests.Storage;

[Collection(PostgresGroup.Name)]
public sealed class PostgresRunCopyTests(PostgresServer server) : RunCopyTests
{
    private protected override async Task<StoreDatabase> NewDatabaseAsync() => new PostgresDatabase((await server.NewDatabaseAsync()).AbsoluteUri);
}
