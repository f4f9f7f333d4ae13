using FsCheck;
using FsCheck.Fluent;

namespace TestRig.Core.Tests.Link;

/// <summary>Byte strings in which zeros, long runs without zeros, and lengths around a block's border all occur often.</summary>
internal static class SomeBytes
{
    public static Arbitrary<byte[]> Arbitrary(int longest) => Arb.From(Generator(longest));

    public static Gen<byte[]> Generator(int longest)
    {
        var any = Gen.Choose(0, 255).Select(value => (byte)value);
        var mostlyZero = Gen.Frequency((3, Gen.Constant((byte)0)), (1, any));
        var neverZero = Gen.Choose(1, 255).Select(value => (byte)value);
        return Gen.OneOf(Gen.Choose(0, longest), Gen.Choose(0, 12), Gen.Choose(Math.Min(250, longest), Math.Min(258, longest)))
            .SelectMany(length => Gen.OneOf(any, mostlyZero, neverZero).ArrayOf(length));
    }
}
