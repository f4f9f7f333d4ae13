using System.Globalization;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>What the process keeps, looked at now and then while no world is going on: what grows from one look to the next is never given back.</summary>
/// <param name="warmUp">Looks after fewer cycles tell of code that is compiled and room that is made once.</param>
internal sealed class MemoryGrowth(long warmUp)
{
    private const double Million = 1e6;

    private readonly List<(long Cycles, long Live, long Resident)> _looks = [];

    /// <param name="cycles">That the process has gone through: more than at the last look.</param>
    /// <returns>What it keeps now, in words.</returns>
    public string Look(long cycles)
    {
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        GC.WaitForPendingFinalizers();
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        var look = (Cycles: cycles, Live: GC.GetTotalMemory(forceFullCollection: false), Resident: Environment.WorkingSet);
        _looks.Add(look);
        return string.Create(CultureInfo.InvariantCulture, $"{look.Live / Million:0.0} MB live, {look.Resident / Million:0.0} MB resident");
    }

    /// <summary>By the median of the slopes of all pairs of looks, so that a few looks at an unlucky instant do not matter.</summary>
    public string Summary()
    {
        var looks = _looks.FindAll(look => look.Cycles >= warmUp);
        return looks.Count < 2
            ? "memory: too few looks at it to tell whether it grows"
            : string.Create(
                CultureInfo.InvariantCulture,
                $"memory from cycle {looks[0].Cycles} to {looks[^1].Cycles}: {Words("live", look => look.Live)}; {Words("resident", look => look.Resident)}");

        string Words(string kind, Func<(long Cycles, long Live, long Resident), long> bytes)
        {
            var slope = TheilSen.Of([.. looks.Select(look => new TimedValue(look.Cycles / Million, bytes(look)))]).Slope;
            return string.Create(CultureInfo.InvariantCulture, $"{kind} {bytes(looks[0]) / Million:0.0} to {bytes(looks[^1]) / Million:0.0} MB, {slope / Million:+0.00;-0.00} MB for each million cycles");
        }
    }
}
