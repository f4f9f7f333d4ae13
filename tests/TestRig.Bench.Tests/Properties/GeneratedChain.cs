using System.Collections.Immutable;
using FsCheck;
using FsCheck.Fluent;

namespace TestRig.Bench.Tests.Properties;

/// <summary>What a generated channel ends with, behind its buffers.</summary>
internal enum ChainEnd
{
    Buffer,
    OpenCollector,
    Isolator,
    Contactor,
    Lamp,
    Relay,
}

/// <summary>A command's way through one to five stages of a generated board.</summary>
/// <param name="Buffers">Part types of the first stages: 1 to 3.</param>
/// <param name="Seen">Of each stage whether a lead is at its output; the last one has one always.</param>
/// <param name="Voltages">Whether those leads go to inputs that read voltages.</param>
internal sealed record GeneratedChain(ImmutableArray<string> Buffers, ChainEnd End, bool IdlesHigh, ImmutableArray<bool> Seen, bool Voltages)
{
    private static readonly string[] _buffers = ["74LS240", "74LS244", "74LS04"];

    public static Gen<GeneratedChain> Any { get; } =
        from count in Gen.Choose(1, 3)
        from buffers in Gen.ArrayOf(Gen.Elements(_buffers), count)
        from end in Gen.Elements(Enum.GetValues<ChainEnd>())
        from idlesHigh in Gen.Elements(true, false)
        from seen in Gen.ArrayOf(Gen.Frequency((3, Gen.Constant(true)), (1, Gen.Constant(false))), 5)
        from voltages in Gen.Elements(true, false)
        select new GeneratedChain([.. buffers], end, idlesHigh, [.. seen], voltages);

    public override string ToString() => $"{(IdlesHigh ? "high" : "low")} > {string.Join(" > ", Buffers)} > {End}, leads {string.Concat(Seen.Select(seen => seen ? '1' : '0'))}{(Voltages ? ", voltages" : "")}";
}
