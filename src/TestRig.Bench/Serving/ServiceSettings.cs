using System.Collections.Immutable;

namespace TestRig.Bench.Serving;

/// <summary>What a service is told: format testrig-benches/1.</summary>
/// <param name="Name">Of this service, among those that share a store.</param>
/// <param name="Listen">The address for browsers and programs.</param>
/// <param name="WithoutTls">Whoever wrote it accepts that tokens cross the network unencrypted.</param>
/// <param name="Store">Where runs are kept; null for the usual place.</param>
/// <param name="State">Folder of what the service itself has to remember: jobs, tokens, what benches are armed, its log.</param>
/// <param name="Records">Folder of the records of runs.</param>
public sealed record ServiceSettings(
    string Name, Uri Listen, bool WithoutTls, TlsSettings? Tls, string? Store, string State, string Records, ImmutableArray<BenchSettings> Benches)
{
    public string ArmingFolder => Path.Combine(State, "armed");

    public string LogFile => Path.Combine(State, "log", "service-.log");

    /// <summary>Other services keep their runs there, too.</summary>
    public bool HasSharedStore => Store is not null && Storage.PostgresDatabase.IsAddress(Store);

    /// <summary>Nobody on another computer can reach it.</summary>
    public bool IsLoopback => Listen.IsLoopback;
}

/// <param name="Certificate">File with the certificate chain, PEM.</param>
/// <param name="Key">File with its private key, PEM.</param>
public sealed record TlsSettings(string Certificate, string Key);
