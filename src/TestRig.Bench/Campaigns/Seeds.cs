namespace TestRig.Bench.Campaigns;

/// <summary>The seed of each bench of a campaign: another for each, and the same whichever comes first.</summary>
internal sealed class Seeds(int campaign)
{
    private enum Purpose
    {
        Fault,
        Healthy,
        Pair,
    }

    public int OfFault(int number) => Of(Purpose.Fault, number);

    public int OfHealthy(int number) => Of(Purpose.Healthy, number);

    public int OfPair(int number) => Of(Purpose.Pair, number);

    /// <summary>The last steps of MurmurHash3 (Appleby, public domain: value from memory) mix neighbours apart.</summary>
    private int Of(Purpose purpose, int number)
    {
        unchecked
        {
            var mixed = ((uint)campaign * 0x9E3779B9u) ^ ((uint)purpose << 30) ^ (uint)number;
            mixed = (mixed ^ (mixed >> 16)) * 0x85EBCA6Bu;
            mixed = (mixed ^ (mixed >> 13)) * 0xC2B2AE35u;
            return (int)((mixed ^ (mixed >> 16)) & int.MaxValue);
        }
    }
}
