namespace TestRig.Bench.Tests.Storage;

/// <summary>Tests that share one server.</summary>
[CollectionDefinition(Name)]
public sealed class PostgresGroup : ICollectionFixture<PostgresServer>
{
    public const string Name = "PostgreSQL";
}
