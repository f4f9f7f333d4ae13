using TestRig.Bench.Adapters;

namespace TestRig.Bench.Exercising;

/// <summary>What becomes of the lines when the adapter could not be told to release them.</summary>
internal static class AfterLostRelease
{
    public static string Words(AdapterIdentity adapter) => adapter.IsHostTimed
        ? "Lines may still be on: switch the board off. Nothing but this computer takes them to idle."
        : "The device itself takes all lines to idle when the host is silent.";
}
