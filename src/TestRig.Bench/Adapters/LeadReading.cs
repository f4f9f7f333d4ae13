using TestRig.Core.Quantities;

namespace TestRig.Bench.Adapters;

/// <summary>What a pin read after it was discharged for a moment and released, and again after its pull-up was switched on.</summary>
public sealed record LeadReading(string Pin, Level AfterDischarge, Level AfterPullUp)
{
    /// <summary>True when the pin followed: the lead is open, or nothing drives its net.</summary>
    public bool Follows => AfterDischarge == Level.Low && AfterPullUp == Level.High;
}
