namespace TestRig.Tests.Service;

/// <summary>Tests that ask the same server: to fill its store takes longer than all of them.</summary>
[CollectionDefinition(Name)]
public sealed class ServedRunsGroup : ICollectionFixture<ServedRuns>
{
    public const string Name = "served runs";
}
