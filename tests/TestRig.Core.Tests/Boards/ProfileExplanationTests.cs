using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class ProfileExplanationTests
{
    private static PointExplanation IsolatorBehind(Stage? front, IsolatorPart part)
    {
        var isolator = StageModel.Of(part, new TestPoint("OK1.5", "A6", new(new(100_000), new(47_000)), "machine") { Highest = new(13.2) });
        var channel = ChannelTests.Through(front is null ? [isolator] : [front, isolator]);
        return ProfileExplanation.Of(new("board", [], [], [], [], [], [], [channel], [])).Channels[0].Points[^1];
    }

    /// <summary>The arithmetic of the demonstration board's isolators (computed by hand).</summary>
    [Fact]
    public void The_circuit_computation_is_shown_with_its_arithmetic() => Assert.Equal(
        string.Join('\n', (string[])[
            "LED current (5 − 1.15 − 0.4) V / 220 ohm = 15.7 mA, permitted 60 mA",
            "saturation margin 15.7 mA × 20 % / ((12 − 0.5) V / 10 kohm) = 3.14 mA / 1.15 mA = 2.7",
            "at most 13.2 V × 47 kohm / (100 kohm + 47 kohm) = 4.22 V at A6; with resistors ±1 % 4.28 V",
        ]),
        string.Join('\n', IsolatorBehind(SomeParts.BufferStage(inverting: true), SomeParts.IsolatorPart()).Circuit));

    [Fact]
    public void A_margin_below_one_and_an_assumption_are_said_in_words()
    {
        var circuit = IsolatorBehind(null, SomeParts.IsolatorPart(resistor: 2_200)).Circuit;
        Assert.EndsWith("taken as 0 V)", circuit[0], StringComparison.Ordinal);
        Assert.EndsWith("= 0.3: below 1, the weakest permitted part may not reach its level", circuit[1], StringComparison.Ordinal);
    }

    [Fact]
    public void Windows_say_where_they_come_from()
    {
        var point = IsolatorBehind(SomeParts.BufferStage(inverting: true), SomeParts.IsolatorPart());
        // Idle high, inverted once: the isolator idles low (lit) and its output rises when the line becomes active.
        Assert.Equal((Level.Low, Level.High, true), (point.Idle, point.Active, point.Inverted));
        Assert.StartsWith("off delay 4.5 µs + 9.55 ns/ohm × 10 kohm = 100 µs typical", point.ToActive!.Window.Origin, StringComparison.Ordinal);
        Assert.StartsWith("on delay 2.8 µs + 220 ps/ohm × 10 kohm = 5 µs typical", point.ToIdle!.Window.Origin, StringComparison.Ordinal);
        Assert.Equal(Duration.FromMicroseconds(200) + Duration.FromNanoseconds(14), point.ToActive.LatestFromDrive);
    }
}
