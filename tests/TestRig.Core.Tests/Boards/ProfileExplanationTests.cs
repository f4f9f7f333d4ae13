using TestRig.Core.Boards;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Boards;

public sealed class ProfileExplanationTests
{
    private static PointExplanation IsolatorBehind(Stage? front, IsolatorPart part)
    {
        var isolator = StageModel.Of(part, new TestPoint("OK1.5", "A6", new(new(100_000), new(47_000)), "machine") { Highest = new(13.2) }, front?.Circuit.WhenLow);
        var channel = ChannelTests.Through(front is null ? [isolator] : [front, isolator]);
        return ProfileExplanation.Of(new("board", [], [], [], [], [], [], [channel], [])).Channels[0].Points[^1];
    }

    /// <summary>The arithmetic of the demonstration board's isolators (computed by hand; the ageing with the constants of Avago AV02-4387EN).</summary>
    [Fact]
    public void The_circuit_computation_is_shown_with_its_arithmetic() => Assert.Equal(
        string.Join('\n', (string[])[
            "LED current (5 − 1.15 − 0.4) V / 220 ohm = 15.7 mA, permitted 60 mA",
            "LED current with every tolerance: 12.3 mA to 19.6 mA (supply ±5 %, forward voltage up to 1.5 V, resistor ±5 %: common practice)",
            "saturation margin 15.7 mA × 20 % / ((12 − 0.5) V / 10 kohm) = 3.14 mA / 1.15 mA = 2.7",
            "a typical part could carry 11 mA, 9.3 times what the load takes",
            "its lit level is a good one down to a transfer ratio of 5.4 % ± 1.7 % (k = 2): 3.6 V would mean (12 V − 3.6 V) / 10 kohm / 15.7 mA; the sheet permits 20 % and more",
            "LED ageing: (20 mA / 15.7 mA)² × exp(0.43 eV / k × (1 / 333 K − 1 / 398 K)) = 18.8: 18783 h lit at 60 °C age it like 1000 h of the published test, after which 99.2 % of its transfer ratio were left [Avago AV02-4387EN p. 12; an older LED ages faster: common practice]",
            "low: 150 mV typical, 0 V to 500 mV [isolator: VCE(sat), carrying LED current × transfer ratio at most; 10 kohm ±5 % to machine: load resistor of the profile]",
            "high: 12 V typical, 10.8 V to 13.2 V [10 kohm ±5 % to machine: load resistor of the profile]",
            "at most 13.2 V × 47 kohm / (100 kohm + 47 kohm) = 4.22 V at A6; with resistors ±1 % 4.28 V",
        ]),
        string.Join('\n', IsolatorBehind(SomeParts.BufferStage(inverting: true), SomeParts.IsolatorPart()).Circuit));

    [Fact]
    public void Every_number_of_the_computation_has_its_source_where_the_data_file_gives_one()
    {
        var type = SomeParts.Isolator() with { Figures = [new("led-forward", "typical 1.15 V", "sheet one"), new("transfer-ratio", "minimum 20 %", "sheet two"), new("saturation", "maximum 0.5 V", "sheet three")] };
        var circuit = IsolatorBehind(SomeParts.BufferStage(inverting: true), SomeParts.IsolatorPart(type: type)).Circuit;
        Assert.EndsWith("[led-forward: sheet one]", circuit[0], StringComparison.Ordinal);
        Assert.EndsWith("[transfer-ratio: sheet two] [saturation: sheet three]", circuit[2], StringComparison.Ordinal);
        Assert.Contains("[saturation: sheet three, carrying", circuit[6], StringComparison.Ordinal);
    }

    [Fact]
    public void A_margin_below_one_and_an_assumption_are_said_in_words()
    {
        var circuit = IsolatorBehind(SomeParts.DriverStage(highSide: true), SomeParts.IsolatorPart(resistor: 2_200)).Circuit;
        Assert.EndsWith("taken as 0 V)", circuit[0], StringComparison.Ordinal);
        Assert.EndsWith("= 0.3: below 1, the weakest permitted part may not reach its level", circuit[2], StringComparison.Ordinal);
    }

    [Fact]
    public void An_enable_and_the_other_input_of_a_gate_are_told_with_what_they_are_wired_to()
    {
        var type = SomeParts.Buffer(inverting: true) with { Sections = [new("1", "3", "19") { OtherInputs = ["2"] }] };
        var part = new BufferPart("U5", type, SomeParts.Logic) { Tied = [new("2", SomeParts.Logic, null, Level.High), new("19", null, null, Level.Low)] };
        string[] Told(BufferPart part) =>
            [.. ProfileExplanation.Of(new("board", [], [], [], [], [], [], [ChannelTests.Through([StageModel.Of(part, type.Sections[0], null)])], [])).Channels[0].Points[^1].Circuit.Take(2)];
        Assert.Equal(["enabled by pin 19 low, which is at ground", "lets the command through while pin 2 is high, which is at logic"], Told(part));
        Assert.Contains("the profile does not mention it", Told(part with { Tied = [part.Tied[0]] })[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Windows_say_where_they_come_from()
    {
        var point = IsolatorBehind(SomeParts.BufferStage(inverting: true), SomeParts.IsolatorPart());
        // Idle high, inverted once: the isolator idles low (lit) and its output rises when the line becomes active.
        Assert.Equal((Level.Low, Level.High, true), (point.Idle, point.Active, point.Inverted));
        Assert.StartsWith("off delay 4.5 µs + 10 µs × ln 9.3 + 95.2 µs × ln(1 / 0.51) = 91.5 µs typical", point.ToActive!.Window.Origin, StringComparison.Ordinal);
        Assert.StartsWith("on delay 2.8 µs + 95.2 µs × ln(9.3 / (9.3 − 0.51)) = 8.15 µs typical", point.ToIdle!.Window.Origin, StringComparison.Ordinal);
        Assert.Contains("(500 + 1) × 19 pF × 10 kohm = 95.2 µs", point.ToIdle.Window.Origin, StringComparison.Ordinal);
    }
}
