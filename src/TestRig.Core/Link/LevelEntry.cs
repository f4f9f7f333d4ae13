namespace TestRig.Core.Link;

/// <summary>The readings of one analog pin, added up. The mean voltage is (sum / samples) × reference / 2^bits.</summary>
/// <param name="AnalogIndex">Place among the analog pins by number.</param>
/// <param name="Samples">At least 1.</param>
public sealed record LevelEntry(byte AnalogIndex, byte Samples, uint Sum, ushort Smallest, ushort Largest)
{
    internal const int Length = 12;

    private const int Reserved = 2;

    internal static LevelEntry Read(ref BodyReader reader)
    {
        var entry = new LevelEntry(reader.U8(), reader.U8(), reader.U32(), reader.U16(), reader.U16());
        reader.Take(Reserved);
        return entry;
    }

    /// <summary>What no reading can be; null when it can.</summary>
    internal string? Contradiction()
    {
        if (Samples == 0)
            return "a level reading has no samples";
        return (ulong)Smallest * Samples <= Sum && Sum <= (ulong)Largest * Samples
            ? null
            : "the mean of a level reading lies outside its own smallest and largest sample";
    }
}
