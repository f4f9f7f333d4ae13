using TestRig.Bench.Files;

namespace TestRig.Bench.Tests.Files;

/// <summary>Every kind of mistake in a profile's socket: found, at its exact place, with a remedy.</summary>
public sealed class ProfileSocketTests : IDisposable
{
    /// <summary>Without an error. The cases below change one thing each; lines are counted from 1.</summary>
    private const string Good =
        """
        format: testrig-profile/1
        board: { name: Test socket }
        controller: { disabled-by: there is none }
        supplies:
          logic: { volts: 5 V ± 5 % }
        parts:
          DUT: { type: 4N25, led: { from: logic, resistor: 150 ohm }, output: { from: logic, load: 4.7 kohm, taken-at: emitter } }
          U1: { type: 74LS240, supply: logic }
        lines:
          led: { adapter: D22, idle: high, pull-up: 100 kohm to logic, motion: false, longest-on: 200 ms, rest: 20 ms, series: 220 ohm }
        test-points:
          DUT.2: { adapter: D22 }
          DUT.4: { adapter: A0 }
          DUT.1: { adapter: A1 }
          CATHODE: { adapter: A2, supply: logic }
          SINK: { adapter: A3, supply: logic }
          LOW: { adapter: A4, supply: logic }
        channels:
          isolator:
            drive: led at DUT.2
            path: [ DUT ]
        socket:
          part: DUT
          anode: DUT.1
          cathode: CATHODE
          sink: SINK
          ratio-load: { resistor: 150 ohm, adapter: D30, low-end: LOW }
          delay-load: { adapter: D31 }
          bleeder: 1 Mohm
          tolerance: 1 %

        """;

    private readonly ChangedProfile _profile = new("socket.yaml", Good);

    public void Dispose() => _profile.Dispose();

    private ProfileResult Load(string profile) => _profile.Load(profile);

    private string Change(string from, string to) => _profile.Change(from, to);

    [Fact]
    public void The_profile_that_the_cases_change_has_no_error_and_is_the_socket_that_it_says()
    {
        var told = Load(Good);
        Assert.Empty(told.Errors);
        var socket = told.Board!.Socket!;
        Assert.Equal(("DUT", "DUT.1", "CATHODE", "SINK", "DUT.4", "LOW"), (socket.Part.Name, socket.Anode.Name, socket.Cathode.Name, socket.Sink.Name, socket.Emitter.Name, socket.RatioLow.Name));
        Assert.Equal((150, "D30", 4700, "D31", 1e6, 0.01), (socket.Ratio.Resistance.Value, socket.Ratio.AdapterPin, socket.Delay.Resistance.Value, socket.Delay.AdapterPin, socket.Bleeder.Value, socket.Tolerance));
    }

    [Fact]
    public void A_board_without_a_socket_has_none() => Assert.Null(Load(Good[..Good.IndexOf("socket:", StringComparison.Ordinal)]).Board!.Socket);

    public static TheoryData<string, string, string, string, string> Mistakes => new()
    {
        // change (from, to), line:column and keys, what is wrong, remedy
        // What is missing.
        { "  part: DUT\n", "", "23:3 socket", "'part' is missing; it has no default", "'part: DUT'" },
        { "  anode: DUT.1\n", "", "23:3 socket", "'anode' is missing", "'anode: DUT.1'" },
        { "  cathode: CATHODE\n", "", "23:3 socket", "'cathode' is missing", "'cathode: CATHODE'" },
        { "  sink: SINK\n", "", "23:3 socket", "'sink' is missing", "'sink: SINK'" },
        { "  ratio-load: { resistor: 150 ohm, adapter: D30, low-end: LOW }\n", "", "23:3 socket", "'ratio-load' is missing", "'ratio-load: { resistor: 150 ohm, adapter: D30, low-end: RATIO-LOW }'" },
        { "{ resistor: 150 ohm, adapter: D30,", "{ adapter: D30,", "27:15 socket.ratio-load", "'resistor' is missing", "'resistor: 150 ohm'" },
        { "150 ohm, adapter: D30, low", "150 ohm, low", "27:15 socket.ratio-load", "'adapter' is missing", "'adapter: D30'" },
        { ", low-end: LOW", "", "27:15 socket.ratio-load", "'low-end' is missing", "'low-end: RATIO-LOW'" },
        { "  delay-load: { adapter: D31 }\n", "", "23:3 socket", "'delay-load' is missing", "'delay-load: { adapter: D31 }'" },
        { "{ adapter: D31 }", "{ }", "28:15 socket.delay-load", "'adapter' is missing", "'adapter: D31'" },
        { "  bleeder: 1 Mohm\n", "", "23:3 socket", "'bleeder' is missing", "'bleeder: 1 Mohm'" },
        { "  tolerance: 1 %\n", "", "23:3 socket", "'tolerance' is missing", "'tolerance: 1 %'" },
        { ", series: 220 ohm", "", "10:3 lines.led", "the current of the LED is read over the resistor in the lead of line 'led', and nothing says how large that is", "'series: 220 ohm'" },
        // What is too much, or of another kind.
        { "  tolerance: 1 %\n", "  tolerance: 1 %\nsocket:\n  part: DUT\n", "31:1 socket", "'socket' is here twice, first in line 22", "keep one of the two" },
        { "  tolerance: 1 %\n", "  tolerance: 1 %\n  sink: SINK\n", "31:3 socket.sink", "'sink' is here twice, first in line 26", "keep one" },
        { "  bleeder: 1 Mohm", "  bleder: 1 Mohm\n  bleeder: 1 Mohm", "29:3 socket.bleder", "no key 'bleder'", "did you mean 'bleeder'?" },
        { "{ adapter: D31 }", "{ adapter: D31, resistor: 4.7 kohm }", "28:31 socket.delay-load.resistor", "no key 'resistor'", "the keys are adapter" },
        { "{ adapter: D31 }", "D31", "28:15 socket.delay-load", "a single value stands here", "adapter" },
        { "{ resistor: 150 ohm, adapter: D30, low-end: LOW }", "150 ohm", "27:15 socket.ratio-load", "a single value stands here", "resistor, adapter, low-end" },
        { "  part: DUT\n", "  part: [ DUT ]\n", "23:9 socket.part", "a list stands here", "a single value" },
        // Quantities.
        { "resistor: 150 ohm, adapter", "resistor: 150, adapter", "27:27 socket.ratio-load.resistor", "'150' has no unit", "Mohm, kohm, ohm" },
        { "resistor: 150 ohm, adapter", "resistor: 150 mA, adapter", "27:27 socket.ratio-load.resistor", "'mA' is not a unit for a resistance", "Mohm, kohm, ohm" },
        { "resistor: 150 ohm, adapter", "resistor: -150 ohm, adapter", "27:27 socket.ratio-load.resistor", "below zero", "zero or more" },
        { "resistor: 150 ohm, adapter", "resistor: 0 ohm, adapter", "27:27 socket.ratio-load.resistor", "over 0 ohm no current can be read", "'150 ohm'" },
        { "1 Mohm", "1", "29:12 socket.bleeder", "'1' has no unit", "Mohm, kohm, ohm" },
        { "1 Mohm", "1 V", "29:12 socket.bleeder", "'V' is not a unit for a resistance", "Mohm, kohm, ohm" },
        { "1 Mohm", "-1 Mohm", "29:12 socket.bleeder", "below zero", "zero or more" },
        { "1 Mohm", "0 ohm", "29:12 socket.bleeder", "over 0 ohm no current can be read", "'1 Mohm'" },
        { "1 Mohm", "much", "29:12 socket.bleeder", "'much' is not a resistance", "a number and a unit" },
        { "tolerance: 1 %", "tolerance: 1", "30:14 socket.tolerance", "'1' has no unit", "'5 %'" },
        { "tolerance: 1 %", "tolerance: 1 ohm", "30:14 socket.tolerance", "'ohm' is not a unit for a share", "the units are %" },
        { "tolerance: 1 %", "tolerance: -1 %", "30:14 socket.tolerance", "below zero", "zero or more" },
        { "tolerance: 1 %", "tolerance: 0 %", "30:14 socket.tolerance", "no resistor is exact", "for example '1 %'" },
        { "tolerance: 1 %", "tolerance: 21 %", "30:14 socket.tolerance", "tells no current", "up to 20 %" },
        // References.
        { "  part: DUT\n", "  part: DUTT\n", "23:9 socket.part", "no part 'DUTT'", "did you mean 'DUT'?" },
        { "  part: DUT\n", "  part: U1\n", "23:9 socket.part", "U1 is no isolator with an emitter output", "taken-at: emitter" },
        { "taken-at: emitter", "taken-at: collector", "23:9 socket.part", "DUT is no isolator with an emitter output", "taken-at: emitter" },
        { "anode: DUT.1", "anode: DUT.7", "24:10 socket.anode", "no test point 'DUT.7'", "did you mean 'DUT.2'?" },
        { "cathode: CATHODE", "cathode: CATHOD", "25:12 socket.cathode", "no test point 'CATHOD'", "did you mean 'CATHODE'?" },
        { "sink: SINK", "sink: SINKS", "26:9 socket.sink", "no test point 'SINKS'", "did you mean 'SINK'?" },
        { "low-end: LOW", "low-end: LO", "27:59 socket.ratio-load.low-end", "no test point 'LO'", "did you mean 'LOW'?" },
        { "adapter: D30", "adapter: D22", "27:45 socket.ratio-load.adapter", "D22 is already taken by line 'led'", "a pin of its own" },
        { "adapter: D30", "adapter: A0", "27:45 socket.ratio-load.adapter", "A0 is already taken by test point 'DUT.4'", "a pin of its own" },
        { "adapter: D31", "adapter: D30", "28:26 socket.delay-load.adapter", "D30 is already taken by the ratio load", "a pin of its own" },
        // A voltage between a point and itself is 0 for every part.
        { "anode: DUT.1", "anode: CATHODE", "25:12 socket.cathode", "'CATHODE' is socket.anode already", "a test point of its own" },
        { "sink: SINK", "sink: LOW", "27:59 socket.ratio-load.low-end", "'LOW' is socket.sink already", "a test point of its own" },
        { "anode: DUT.1", "anode: DUT.4", "24:10 socket.anode", "'DUT.4' is the emitter", "a test point of its own" },
        { "anode: DUT.1", "anode: DUT.2", "24:10 socket.anode", "'DUT.2' is where line 'led' is driven, and reads no voltage", "a test point of its own" },
        // What currents are worked out from is read as it is.
        { "DUT.1: { adapter: A1 }", "DUT.1: { }", "24:10 socket.anode", "'DUT.1' has no plain lead to the adapter", "test-points.DUT.1 an adapter pin" },
        { "DUT.1: { adapter: A1 }", "DUT.1: { adapter: A1, divider: 10 kohm / 10 kohm }", "24:10 socket.anode", "'DUT.1' has no plain lead to the adapter", "without a divider" },
        { "DUT.4: { adapter: A0 }", "DUT.4: { }", "23:9 socket.part", "'DUT.4' has no plain lead to the adapter", "test-points.DUT.4 an adapter pin" },
        { "DUT.4: { adapter: A0 }", "DUT.4: { adapter: A0, divider: 10 kohm / 10 kohm }", "23:9 socket.part", "'DUT.4' has no plain lead to the adapter", "without a divider" },
        // The circuit.
        { "idle: high, pull-up: 100 kohm to logic", "idle: low, pull-down: 1 kohm", "10:30 lines.led.idle", "idles low: the LED in the socket would be lit all the time", "'idle: high'" },
        { "path: [ DUT ]", "path: [ U1 2>18 ]", "23:9 socket.part", "no channel goes through DUT", "'path: [ DUT ]'" },
        { "path: [ DUT ]", "path: [ U1 2>18, DUT ]", "23:9 socket.part", "something else goes through DUT", "'path: [ DUT ]'" },
    };

    [Theory]
    [MemberData(nameof(Mistakes))]
    public void A_mistake_is_found_at_its_place_with_a_remedy(string from, string to, string place, string what, string remedy) => _profile.Expect(from, to, place, what, remedy);

    /// <summary>With a supply for motors and an exercise, so that this is all that is wrong.</summary>
    [Fact]
    public void A_line_that_moves_something_is_no_socket_line()
    {
        var error = Assert.Single(Load(Change("motion: false", "motion: true")
            .Replace("  logic: { volts: 5 V ± 5 % }\n", "  logic: { volts: 5 V ± 5 % }\n  motors: { volts: 12 V ± 10 %, motion: true }\n", StringComparison.Ordinal)
            .Replace("    path: [ DUT ]\n", "    path: [ DUT ]\n    exercise: { motion-on: 100 ms }\n", StringComparison.Ordinal)).Errors);
        Assert.Equal("11:72 lines.led.motion", $"{error.Line}:{error.Column} {error.KeyPath}");
        Assert.Contains("line 'led' can move something: nothing but an LED hangs on a socket's line", error.What, StringComparison.Ordinal);
        Assert.Contains("'motion: false'", error.Remedy, StringComparison.Ordinal);
    }
}
