using TestRig.Core.Judging;
using TestRig.Core.Quantities;

namespace TestRig.Core.Diagnosing;

/// <summary>
/// The outcomes of <see cref="SightKind.Trace"/>: a bit each for high before, during and after the command, and one for a point that does not settle. Sets of them are bit masks by outcome.
/// </summary>
public static class TraceOutcomes
{
    private const int Before = 1, During = 2, After = 4, Unsettled = 8;

    /// <summary>Every outcome of a point that does not settle: where it was found at an instant says nothing.</summary>
    public const uint Restless = 0xFF00;

    /// <summary>It stays low, or it stays high.</summary>
    public const uint AnyOneLevel = 1u | 1u << (Before | During | After);

    public static int Of(PointTrace trace, bool settled) =>
        (trace.Before == Level.High ? Before : 0) + (trace.During == Level.High ? During : 0) + (trace.After == Level.High ? After : 0) + (settled ? 0 : Unsettled);

    public static bool IsOneLevel(uint outcomes) => (outcomes & ~AnyOneLevel) == 0;

    /// <summary>The same and those with the other level during the command, settled or not.</summary>
    public static uint WithEitherDuring(uint outcomes) => Also(outcomes, During) | Restless;

    /// <summary>The same and those with other levels before or after it, settled or not.</summary>
    public static uint WithEitherBeside(uint outcomes) => Also(Also(outcomes, Before), After) | Restless;

    private static uint Also(uint outcomes, int level)
    {
        var also = outcomes;
        for (var outcome = 0; outcome < 2 * Unsettled; outcome++)
        {
            if ((outcomes >> outcome & 1) != 0)
                also |= 1u << (outcome ^ level);
        }
        return also;
    }
}
