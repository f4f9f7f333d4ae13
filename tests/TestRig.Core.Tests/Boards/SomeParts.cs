using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

/// <summary>Parts with round figures for tests of the models; not the figures of any sheet, except where a test says so.</summary>
internal static class SomeParts
{
    public static Supply Logic { get; } = new("logic", new(5), 0.05, null, Motion: false);

    public static Supply Machine { get; } = new("machine", new(12), 0.1, null, Motion: false);

    public static DelayLimits Delay(long typicalNanoseconds, long? maximumNanoseconds = null) => new(
        null, Duration.FromNanoseconds(typicalNanoseconds), maximumNanoseconds is { } maximum ? Duration.FromNanoseconds(maximum) : null, "test");

    public static BufferType Buffer(bool inverting) => new(
        "buffer", "", "test", inverting, [new("2", "18", "1")], Delay(7, 14), Delay(12, 18), LevelLimits.Ttl, new(0.4), new(2.4));

    public static IsolatorType Isolator(double ledForward = 1.15) => new(
        "isolator", "", "test", "1", "2", "5", "4", new(ledForward), 0.2, new(0.5), new(0.06), Delay(2_800), Delay(4_500), 500, new(19e-12), Duration.FromMicroseconds(10))
    {
        LedForwardMaximum = new(1.5),
        TransferRatioTypical = 0.7,
        SaturationTypical = new(0.15),
    };

    public static IsolatorPart IsolatorPart(double resistor = 220, bool takenAtCollector = true, IsolatorType? type = null) =>
        new("OK1", type ?? Isolator(), Logic, new(resistor), Machine, new(10_000), takenAtCollector);

    public static Stage BufferStage(bool inverting)
    {
        var type = Buffer(inverting);
        return StageModel.Of(new BufferPart("U3", type, Logic), type.Sections[0], null);
    }

    public static Stage DriverStage(bool highSide) =>
        StageModel.Of(new DriverPart("Q1", new("driver", "", "test", highSide, Delay(2_000), Delay(8_000)), Machine), null);

    /// <summary>A 12 V open collector that does not invert.</summary>
    public static DriverPart OpenCollector(double load) => new("U7", new("open", "", "test", HighSide: false, Delay(10, 20), Delay(8))
    {
        Sections = [new("1", "2")],
        Inverting = false,
        HasLogicSupply = true,
        Input = new(LevelLimits.Ttl, Level.High, null, null),
        SaturationTypical = new(0.2),
        SaturationMaximum = new(0.4),
    }, Machine)
    {
        LogicSupply = Logic,
        Load = new(load),
    };
}
