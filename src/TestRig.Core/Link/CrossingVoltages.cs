using TestRig.Core.Quantities;

namespace TestRig.Core.Link;

/// <summary>
/// The reference that a stamped voltage crossed, and where the input that the looks read changes instead: at the pin, on the scale of LEVELS, on which the
/// converter's reference is nominal. The reference lies below the input's own levels: on the way up it comes first, on the way down last.
/// </summary>
public sealed record CrossingVoltages(Volts ReferenceLeast, Volts ReferenceMost, Volts InputLeast, Volts InputMost)
{
    internal const int Length = 8;

    internal bool InOrder => ReferenceLeast <= ReferenceMost && ReferenceMost < InputLeast && InputLeast <= InputMost;

    internal static CrossingVoltages Read(ref BodyReader reader) => new(Millivolts(ref reader), Millivolts(ref reader), Millivolts(ref reader), Millivolts(ref reader));

    private static Volts Millivolts(ref BodyReader reader) => new(reader.U16() / 1000.0);
}
