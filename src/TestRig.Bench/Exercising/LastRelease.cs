using Serilog;
using TestRig.Bench.Adapters;

namespace TestRig.Bench.Exercising;

/// <summary>Lines idle and let go, on every way out; and what becomes of them where the adapter could not be told.</summary>
internal static class LastRelease
{
    /// <param name="ending">How it ended so far.</param>
    /// <param name="log">Null where nothing is logged.</param>
    /// <returns>The same, or that the adapter failed in this.</returns>
    public static async Task<SweepEnding> MakeAsync(IAdapter adapter, SweepEnding ending, ILogger? log = null)
    {
        if (ending.Outcome == SweepOutcome.AdapterFailed)
            return ending;
        try
        {
            await adapter.ReleaseAsync(CancellationToken.None);
            log?.Information("Released: lines idle");
            return ending;
        }
        catch (AdapterException fault)
        {
            log?.Error(fault, "The adapter could not be released");
            return new(SweepOutcome.AdapterFailed, $"{fault.Message} {WhatBecomes(adapter.Identity)}");
        }
    }

    private static string WhatBecomes(AdapterIdentity adapter) => adapter.IsHostTimed
        ? "Lines may still be on: switch the board off. Nothing but this computer takes them to idle."
        : "The device itself takes all lines to idle when the host is silent.";
}
