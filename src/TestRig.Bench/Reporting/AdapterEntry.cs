using TestRig.Bench.Adapters;

namespace TestRig.Bench.Reporting;

/// <summary>An adapter in a record for other programs.</summary>
internal sealed record AdapterEntry(string Kind, string Place, string Board, string Firmware)
{
    public static AdapterEntry Of(AdapterIdentity adapter) => new(adapter.Kind, adapter.Place, adapter.Board, adapter.Firmware);
}
