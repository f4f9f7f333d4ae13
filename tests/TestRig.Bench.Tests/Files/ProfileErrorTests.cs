using TestRig.Bench.Files;

namespace TestRig.Bench.Tests.Files;

/// <summary>Every kind of mistake in a profile: found, at its exact place, with a remedy.</summary>
public sealed class ProfileErrorTests : IDisposable
{
    /// <summary>Without an error. The cases below change one thing each; lines are counted from 1.</summary>
    private const string Good =
        """
        format: testrig-profile/1
        board: { name: Test card }
        supplies:
          logic: { volts: 5 V ± 5 %, sensed-at: LOGIC }
          machine: { volts: 12 V ± 10 %, motion: true }
        grounds:
          far: { isolated-from: logic, bridged-because: bench supplies }
        parts:
          U3: { type: 74LS240, supply: logic }
          OK1: { type: 4N25, led: { from: logic, resistor: 220 ohm }, output: { from: machine, load: 10 kohm, taken-at: collector } }
          Q1: { type: BD140, supply: machine }
          home: { type: lever-switch }
        lines:
          left: { adapter: D22, idle: high, pull-up: 4.7 kohm to logic, motion: true, longest-on: 500 ms, rest: 250 ms }
          right: { adapter: D23, idle: high, floats-to: high, motion: true, longest-on: 500 ms, rest: 250 ms }
        keep-apart: [ [left, right] ]
        test-points:
          J1.2: { adapter: D22 }
          J1.4: { adapter: D23 }
          U3.18: { adapter: A0 }
          OK1.5: { adapter: A6, divider: 100 kohm / 47 kohm, ground: far }
          LOGIC: { adapter: A12, divider: 10 kohm / 10 kohm }
          limit: { adapter: D49, supply: logic }
          encoder: { adapter: D12, supply: logic }
          home: { adapter: D13, supply: logic }
        stops:
          limit: { goes: low, ends: [left] }
        channels:
          left:
            drive: left at J1.2
            path: [ U3 2>18, OK1, Q1 ]
            exercise: { motion-on: 400 ms }
            undone-by: right
            feedback:
              encoder: { pulses: 8..12, within: 400 ms }
              home: { bounces: ..10, settles-within: 5 ms }
            expect: { OK1.5: { falls: 0..25 us, because: four good cards } }
          right:
            drive: right at J1.4
            path: [ U3 4>16 ]
            exercise: { motion-on: 400 ms }
            undone-by: left
        cautions: [ Mind your fingers. ]

        """;

    private readonly ChangedProfile _profile = new("card.yaml", Good);

    public void Dispose() => _profile.Dispose();

    private ProfileResult Load(string profile) => _profile.Load(profile);

    private string Change(string from, string to) => _profile.Change(from, to);

    [Fact]
    public void A_decimal_comma_between_braces_is_told_to_be_a_comma() => Assert.Contains(
        Load(Change("rest: 250 ms }\n  right", "rest: 0,25 s }\n  right")).Errors,
        error => error.ToString()!.Contains("14:107: lines.left.25 s: there is no key '25 s' here; write a decimal point, not a comma", StringComparison.Ordinal));

    [Fact]
    public void The_profile_that_the_cases_change_has_no_error() => Assert.Empty(Load(Good).Errors);

    [Fact]
    public void The_machines_debounce_of_a_switch_is_read_where_it_stands()
    {
        var told = Load(Change("settles-within: 5 ms }", "settles-within: 5 ms, debounce: 20 ms }"));
        Assert.Empty(told.Errors);
        Assert.Equal(Core.Quantities.Duration.FromMilliseconds(20), told.Board!.Channels[0].Feedback.OfType<Core.Boards.SwitchFeedback>().Single().Debounce);
        Assert.Null(Load(Good).Board!.Channels[0].Feedback.OfType<Core.Boards.SwitchFeedback>().Single().Debounce);
        Assert.Contains("the machine's debounce of 20 ms", Core.Boards.ProfileExplanation.Of(told.Board).Channels[0].Feedback.Single(feedback => feedback.Point == "home").Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void A_coil_that_is_made_for_another_voltage_is_told() => Expect(
        Load(Good
            .Replace("Q1: { type: BD140", "Q1: { type: BC337", StringComparison.Ordinal)
            .Replace("home: { type: lever-switch }", "home: { type: relay-24V, supply: logic }", StringComparison.Ordinal)
            .Replace("OK1, Q1 ]", "OK1, Q1, home ]", StringComparison.Ordinal)),
        "card.yaml:31:31: channels.left.path[4]: the coil of home is made for 24 V, and Q1 switches 12 V to it; correct the supply of Q1, or the type of home");

    /// <summary>Nothing needs 'exercise' where nothing moves.</summary>
    [Fact]
    public void A_line_that_moves_nothing_needs_no_exercise() => Assert.Empty(
        Load(Good
            .Replace("motion: true, longest-on", "motion: false, longest-on", StringComparison.Ordinal)
            .Replace("    exercise: { motion-on: 400 ms }\n", "", StringComparison.Ordinal)).Errors);

    public static TheoryData<string, string, string, string, string> Mistakes => new()
    {
        // change (from, to), line:column and keys, what is wrong, remedy
        // Keys.
        { "format: testrig-profile/1", "format: testrig-profile/2", "1:9 format", "format 'testrig-profile/2' is not known", "reads 'testrig-profile/1'" },
        { "format: testrig-profile/1\nboard: { name: Test card }", "board: { name: Test card }\nformat: testrig-profile/1", "2:9 format", "not the first key", "begin the file with" },
        { "board: { name: Test card }", "board: { nam: Test card }", "2:10 board.nam", "no key 'nam'", "did you mean 'name'?" },
        { "board: { name: Test card }", "board: Test card", "2:8 board", "a single value stands here", "a group of keys" },
        { "board: { name: Test card }", "board: { name: [Test] }", "2:16 board.name", "a list stands here", "a single value" },
        { "cautions: [ Mind your fingers. ]", "cautions: Mind your fingers.", "43:11 cautions", "a single value stands here", "a list belongs here" },
        { "cautions: [", "warnings: [", "43:1 warnings", "no key 'warnings'", "the keys are format, board" },
        { "  encoder: { adapter: D12", "  home: { adapter: D40, supply: logic }\n  encoder: { adapter: D12", "26:3 test-points.home", "'home' is here twice, first in line 24", "keep one of the two" },
        { "rest: 250 ms }\n  right", "rest: 250 ms, rest: 100 ms }\n  right", "14:113 lines.left.rest", "'rest' is here twice, first in line 14", "keep one" },
        { "idle: high, pull-up", "pull-up", "14:9 lines.left", "'idle' is missing; it has no default", "'idle: high'" },
        { "longest-on: 500 ms, rest: 250 ms }\n  right", "rest: 250 ms }\n  right", "14:9 lines.left", "'longest-on' is missing; it has no default", "'longest-on: 500 ms'" },
        { ", rest: 250 ms }\n  right", " }\n  right", "14:9 lines.left", "'rest' is missing; it has no default", "'rest: 250 ms'" },
        { "motion: true, longest-on: 500 ms, rest: 250 ms }\n  right", "longest-on: 500 ms, rest: 250 ms }\n  right", "14:9 lines.left", "'motion' is missing", "'motion: true'" },
        { "  home: { type", "  home/2: { type", "12:3 parts.home/2", "'home/2' cannot be a name", "letters A to Z, digits" },
        { "U3.18: { adapter: A0 }", "U3.18: { adapter:A0 }", "20:12 test-points.U3.18.adapter:A0", "no key 'adapter:A0'", "a blank behind the colon: 'adapter: A0'" },
        { "[ Mind your fingers. ]", "[ Note: mind your fingers. ]", "43:13 cautions[1]", "a group of keys stands here", "text with a colon in it goes into quotes" },
        // Words.
        { "idle: high, pull-up", "idle: up, pull-up", "14:31 lines.left.idle", "'up' is not one of the words for idle", "low or high" },
        { "%, motion: true }", "%, motion: yes }", "5:42 supplies.machine.motion", "'yes' is not one of the words for motion", "true or false" },
        { "    exercise: { motion-on: 400 ms }\n    undone-by: right", "    undone-by: right", "29:3 channels.left", "'exercise' is missing, and line 'left' can move something", "'exercise: { motion-on: 400 ms }'" },
        { "Q1: { type: BD140,", "Q1: { type: relay-24V,", "31:27 channels.left.path[3]", "nothing in front of Q1 sinks the current of its coil", "'[ U1 2>18, Q1, K1 ]'" },
        { "taken-at: collector", "taken-at: base", "10:113 parts.OK1.output.taken-at", "'base'", "collector or emitter" },
        // Quantities.
        { "5 V ± 5 %", "5 V", "4:19 supplies.logic.volts", "does not say how far the voltage may be off", "5 V ± 5 %" },
        { "5 V ± 5 %", "5 ± 5 %", "4:19 supplies.logic.volts", "'5' has no unit", "V, kV, mV" },
        { "5 V ± 5 %", "5 V ± 5", "4:19 supplies.logic.volts", "'5' has no unit", "units %" },
        { "5 V ± 5 %", "0 V ± 5 %", "4:19 supplies.logic.volts", "0 V supplies nothing", "5 V" },
        { "5 V ± 5 %", "5 V ± 100 %", "4:19 supplies.logic.volts", "permits a dead supply", "below 100 %" },
        { "5 V ± 5 %", "5 v ± 5 %", "4:19 supplies.logic.volts", "'v' is not a unit for a voltage", "the units are V, kV, mV" },
        { "220 ohm", "220", "10:52 parts.OK1.led.resistor", "'220' has no unit", "Mohm, kohm, ohm" },
        { "4.7 kohm to logic", "'4,7 kohm to logic'", "14:46 lines.left.pull-up", "'4,7 kohm' is not a resistance", "decimal point" },
        { "4.7 kohm to logic", "4.7 kohm", "14:46 lines.left.pull-up", "does not say which supply", "'4.7 kohm to logic'" },
        { "rest: 250 ms }\n  right", "rest: 250 }\n  right", "14:105 lines.left.rest", "'250' has no unit", "ms, ns, s, us" },
        { "rest: 250 ms }\n  right", "rest: -250 ms }\n  right", "14:105 lines.left.rest", "below zero", "zero or more" },
        { "rest: 250 ms }\n  right", "rest: soon }\n  right", "14:105 lines.left.rest", "'soon' is not a time", "'250 ms'" },
        { "longest-on: 500 ms, rest: 250 ms }\n  right", "longest-on: 0 ms, rest: 250 ms }\n  right", "14:91 lines.left.longest-on", "0 makes no sense", "write how long" },
        { "settles-within: 5 ms }", "settles-within: 5 ms, debounce: 0 ms }", "36:62 channels.left.feedback.home.debounce", "0 makes no sense", "write how long" },
        { "settles-within: 5 ms }", "settles-within: 5 ms, debounce: 20 }", "36:62 channels.left.feedback.home.debounce", "'20' has no unit", "ms, ns, s, us" },
        { "rest: 250 ms }\n  right", "rest: 90000 s }\n  right", "14:105 lines.left.rest", "more than a day", "check the number" },
        { "100 kohm / 47 kohm", "100 kohm", "21:34 test-points.OK1.5.divider", "is no divider", "upper and lower resistor" },
        { "100 kohm / 47 kohm", "100 kohm / 0 ohm", "21:34 test-points.OK1.5.divider", "0 ohm divides nothing", "both resistors" },
        { "100 kohm / 47 kohm", "100 kohm / 47 kohm ± 30 %", "21:34 test-points.OK1.5.divider", "make no divider", "± 5 %" },
        { "100 kohm / 47 kohm", "100 kohm / 62 kohm ± 5 %", "21:34 test-points.OK1.5.divider", "which is up to 5.37 V behind its divider", "'divider: 100 kohm / 56 kohm'" },
        { "pulses: 8..12", "pulses: 12..8", "35:26 channels.left.feedback.encoder.pulses", "ends before it begins", "'8..12'" },
        { "pulses: 8..12", "pulses: ..12", "35:26 channels.left.feedback.encoder.pulses", "open at one end", "both ends" },
        { "pulses: 8..12", "pulses: ten", "35:26 channels.left.feedback.encoder.pulses", "'ten' is no range", "two dots" },
        { "pulses: 8..12", "pulses: 8..12.5", "35:26 channels.left.feedback.encoder.pulses", "'12.5' is no whole number", "digits only" },
        { "bounces: ..10", "bounces: 3..10", "36:24 channels.left.feedback.home.bounces", "not 'at most so many'", "'..10'" },
        { "falls: 0..25 us", "falls: 0..25", "37:31 channels.left.expect.OK1.5.falls", "'25' has no unit", "ms, ns, s, us" },
        { "falls: 0..25 us", "falls: 25..0 us", "37:31 channels.left.expect.OK1.5.falls", "ends before it begins", "earliest time first" },
        { "falls: 0..25 us", "falls: 5 us..", "37:31 channels.left.expect.OK1.5.falls", "has no end", "latest time" },
        { ", because: four good cards", "", "37:22 channels.left.expect.OK1.5", "'because' is missing", "because: measured" },
        // References.
        { "{ type: 74LS240, supply: logic }", "{ type: 74LS249, supply: logic }", "9:15 parts.U3.type", "no type '74LS249'", "did you mean '74LS240'?" },
        { "{ type: 74LS240, supply: logic }", "{ type: 74LS240, supply: logik }", "9:32 parts.U3.supply", "no supply 'logik'", "did you mean 'logic'?" },
        { "{ type: 74LS240, supply: logic }", "{ type: 74LS240 }", "9:3 parts.U3", "'supply' is missing", "'supply: logic'" },
        { "{ type: BD140, supply: machine }", "{ type: BD140, supply: machine, led: { from: logic, resistor: 1 kohm } }", "11:44 parts.Q1.led", "a BD140 has no such key", "remove it" },
        { "ground: far", "ground: fat", "21:62 test-points.OK1.5.ground", "no ground 'fat'", "did you mean 'far'?" },
        { "isolated-from: logic", "isolated-from: logics", "7:25 grounds.far.isolated-from", "no supply 'logics'", "did you mean 'logic'?" },
        { ", bridged-because: bench supplies", "", "21:62 test-points.OK1.5.ground", "bridges the isolation of ground 'far'", "'bridged-because: …'" },
        { "[left, right]", "[left, rigth]", "16:22 keep-apart[1][2]", "no line 'rigth'", "did you mean 'right'?" },
        { "[left, right]", "[left, right], [left, left]", "16:37 keep-apart[2][2]", "cannot be kept apart from itself", "two lines" },
        { "[left, right]", "[left, right], [left]", "16:30 keep-apart[2]", "not a pair", "'[rotate-left, rotate-right]'" },
        { "keep-apart: [ [left, right] ]", "keep-apart: []", "33:16 channels.left.undone-by", "one axis both ways but are not kept apart", "add '[left, right]' to keep-apart" },
        { "limit: { goes: low, ends: [left] }", "limits: { goes: low, ends: [left] }", "27:3 stops.limits", "no test point 'limits'", "did you mean 'limit'?" },
        { "ends: [left]", "ends: [lift]", "27:30 stops.limit.ends[1]", "no line 'lift'", "did you mean 'left'?" },
        { "ends: [left]", "ends: []", "27:29 stops.limit.ends", "ends no line", "or write 'all'" },
        { "limit: { adapter: D49, supply: logic }", "limit: { supply: logic }", "27:3 stops.limit", "no lead goes to 'limit'", "test-points.limit" },
        { "left at J1.2", "lift at J1.2", "30:12 channels.left.drive", "no line 'lift'", "did you mean 'left'?" },
        { "left at J1.2", "left on J1.2", "30:12 channels.left.drive", "does not say what drives and where", "'LINE at TESTPOINT'" },
        { "undone-by: right", "undone-by: wright", "33:16 channels.left.undone-by", "no channel 'wright'", "did you mean 'right'?" },
        { "undone-by: right", "undone-by: left", "33:16 channels.left.undone-by", "does not undo itself", "" },
        { "encoder: { pulses", "encodr: { pulses", "35:7 channels.left.feedback.encodr", "no test point 'encodr'", "did you mean 'encoder'?" },
        { "expect: { OK1.5:", "expect: { OK1.4:", "37:15 channels.left.expect.OK1.4", "not an output in this channel's path", "did you mean 'OK1.5'?" },
        // Paths.
        { "U3 2>18", "U3 2>16", "31:13 channels.left.path[1]", "no section 2>16", "did you mean 'U3 2>18'?" },
        { "U3 2>18", "U3", "31:13 channels.left.path[1]", "several sections", "'U3 2>18', 'U3 4>16'" },
        { "U3 2>18", "U3 2-18", "31:13 channels.left.path[1]", "'U3 2-18' is not a section", "'U3 2>18'" },
        { "U3 2>18", "U2 2>18", "31:13 channels.left.path[1]", "no part 'U2'", "" },
        { "OK1, Q1 ]", "OK1 1>5, Q1 ]", "31:22 channels.left.path[2]", "does not pass OK1 from 1 to 5", "write 'OK1 2>5'" },
        { "OK1, Q1 ]", "OK1, Q1 1>2 ]", "31:27 channels.left.path[3]", "one way through", "just 'Q1'" },
        { "OK1, Q1 ]", "OK1, home ]", "31:27 channels.left.path[3]", "does not pass a lever-switch", "'feedback' or 'stops'" },
        { "[ U3 2>18, OK1, Q1 ]", "[]", "31:11 channels.left.path", "the path has no stage", "'[ U3 2>18, OK1, Q1 ]'" },
        { "U3 4>16", "U3 2>18", "40:13 channels.right.path[1]", "U3 2>18 is in the path of channel 'left' already", "one line" },
        // Damage.
        { "{ adapter: A6, divider: 100 kohm / 47 kohm, ground: far }", "{ adapter: A6, ground: far }", "21:3 test-points.OK1.5", "OK1.5 reaches 13.2 V and has no divider; an adapter pin takes at most 5.25 V", "'divider: 100 kohm / 56 kohm' (at most 4.8 V at the pin)" },
        { "100 kohm / 47 kohm", "47 kohm / 100 kohm", "21:34 test-points.OK1.5.divider", "which is up to 9.04 V behind its divider", "'divider: 100 kohm / 56 kohm'" },
        { "limit: { adapter: D49, supply: logic }", "limit: { adapter: D49, supply: machine }", "23:3 test-points.limit", "reaches 13.2 V and has no divider", "'divider: 100 kohm / 56 kohm'" },
        { "limit: { adapter: D49, supply: logic }", "limit: { adapter: D49 }", "23:3 test-points.limit", "nothing tells how high 'limit' can go", "'supply: logic'" },
        { "limit: { adapter: D49, supply: logic }", "limit: { adapter: D49, supply: logc }", "23:34 test-points.limit.supply", "no supply 'logc'", "did you mean 'logic'?" },
        { "U3.18: { adapter: A0 }", "U3.18: { adapter: A0, supply: logic }", "20:33 test-points.U3.18.supply", "known already", "remove 'supply'" },
        { "U3.18: { adapter: A0 }", "U3.10: { adapter: A0 }", "20:3 test-points.U3.10", "no signal at pin '10'", "its pins are 2, 18" },
        { "U3.18: { adapter: A0 }", "U33.18: { adapter: A0 }", "20:3 test-points.U33.18", "nothing tells how high", "did you mean 'U3.18'?" },
        { "4.7 kohm to logic", "4.7 kohm to machine", "18:3 test-points.J1.2", "reaches 13.2 V", "pull it up to a 5 V supply" },
        { "4.7 kohm to logic", "4.7 kohm to logik", "14:46 lines.left.pull-up", "no supply 'logik'", "did you mean 'logic'?" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: low", "14:3 lines.left", "nothing holds the line low while the adapter's pin floats", "'pull-down: 1 kohm'" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: high", "14:3 lines.left", "nothing holds the line high while the adapter's pin floats", "'pull-up: 4.7 kohm to logic'" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: low, pull-up: 4.7 kohm to logic", "14:45 lines.left.pull-up", "does not hold the line low", "'pull-down: 1 kohm'" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: high, pull-down: 1 kohm", "14:48 lines.left.pull-down", "does not hold the line high", "'pull-up: 4.7 kohm to logic'" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: high, held-low-by: the driver module", "14:50 lines.left.held-low-by", "does not hold the line high", "'pull-up" },
        { "floats-to: high", "floats-to: low", "15:49 lines.right.floats-to", "does not float low", "pull-down" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: low, pull-down: 10 kohm", "14:47 lines.left.pull-down", "lifts a 10 kohm pull-down to 2.11 V, which is no low level", "at most 3.79 kohm" },
        // 0.2 mA and 1 µA of leakage through 3.9 kohm and 5 % are 0.82 V; the supply's worst 4.75 V less 2 V over 21 µA and 5 % is 124.7 kohm; computed by hand.
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: low, pull-down: 3.9 kohm", "14:47 lines.left.pull-down", "lifts a 3.9 kohm pull-down to 823 mV", "at most 3.79 kohm" },
        { "4.7 kohm to logic", "150 kohm to logic", "14:46 lines.left.pull-up", "20 µA, and the pin's leakage pull a 150 kohm pull-up down to 1.44 V, which is no high level", "use at most 124 kohm" },
        { "4.7 kohm to logic", "1 kohm to logic", "14:46 lines.left.pull-up", "through 245 ohm (its lead and its output) the adapter pulls the line down to 1.12 V only", "use at least 1.53 kohm" },
        { "idle: high, pull-up: 4.7 kohm to logic", "idle: low, pull-down: 150 ohm", "14:47 lines.left.pull-down", "drives the line to 1.75 V only, and U3 2>18 needs 2 V", "use at least 188 ohm" },
        { "250 ms }\n  right", "250 ms, series: 100 ohm }\n  right", "14:121 lines.left.series", "a short circuit of the line draws 52.5 mA from the adapter's pin", "at least 132 ohm" },
        { "250 ms }\n  right", "250 ms, series: 10 kohm }\n  right", "14:121 lines.left.series", "lifts the line to 2 V though the adapter drives it low", "use 220 ohm" },
        { "U3.18: { adapter: A0 }", "U3.18: { adapter: A0, series: 100 ohm }", "20:33 test-points.U3.18.series", "the lead check could draw 52.5 mA", "at least 263 ohm" },
        { "U3.18: { adapter: A0 }", "U3.18: { adapter: A0, series: 10 kohm }", "20:33 test-points.U3.18.series", "could not tell a point that is driven low from an open lead", "at most 7.45 kohm" },
        { "J1.2: { adapter: D22 }", "J1.2: { adapter: D22, series: 1 kohm }", "18:33 test-points.J1.2.series", "its lead is the line's", "write 'series' at the line" },
        { "100 kohm / 47 kohm, ground", "100 kohm / 47 kohm, series: 1 kohm, ground", "21:62 test-points.OK1.5.series", "a divider bounds the current by itself", "remove 'series'" },
        // The controller.
        { "cautions: [", "controller: { sensed-at: limit, is: low }\ncautions: [", "43:13 controller", "'disabled-by' is missing; it has no default", "'disabled-by: unplug it from J1'" },
        { "cautions: [", "controller: { disabled-by: unplug it, sensed-at: limit }\ncautions: [", "43:50 controller.sensed-at", "does not say at which level", "'is: low'" },
        { "cautions: [", "controller: { disabled-by: unplug it, is: low }\ncautions: [", "43:43 controller.is", "does not say where", "'sensed-at: CONTROLLER'" },
        { "cautions: [", "controller: { disabled-by: unplug it, sensed-at: limits, is: low }\ncautions: [", "43:50 controller.sensed-at", "no test point 'limits'", "did you mean 'limit'?" },
        { "cautions: [", "controller: { disabled-by: unplug it, sensed-at: J1.2, is: high }\ncautions: [", "43:50 controller.sensed-at", "idles at the same level with the controller and without", "a pin of its own" },
        { "supply: logic }\nstops:", "supply: logic }\n  CPU: { supply: logic }\ncontroller: { disabled-by: unplug it, sensed-at: CPU, is: low }\nstops:", "27:50 controller.sensed-at", "no lead goes to 'CPU'", "or remove 'sensed-at'" },
        { "motion-on: 400 ms }\n    undone-by: right", "motion-on: 600 ms }\n    undone-by: right", "32:28 channels.left.exercise.motion-on", "longer than the longest on-time of line 'left', 500 ms", "at most 500 ms" },
        { "resistor: 220 ohm", "resistor: 56 ohm", "10:52 parts.OK1.led.resistor", "more than the permitted 60 mA", "needs at least 68.3 ohm" },
        { "led: { from: logic, resistor: 220 ohm }", "led: { from: weak, resistor: 220 ohm }", "10:35 parts.OK1.led.from", "no supply 'weak'", "the supplies are logic, machine" },
        { "load: 10 kohm", "load: 0 ohm", "10:94 parts.OK1.output.load", "ties the output to its supply", "'10 kohm'" },
        { "machine: { volts: 12 V ± 10 %, motion: true }", "machine: { volts: 12 V ± 10 % }", "14:73 lines.left.motion", "no supply powers motion", "'motion: true'" },
        { "J1.4: { adapter: D23 }", "J1.4: { adapter: D24 }\n  X: { adapter: D23, supply: logic }", "20:17 test-points.X.adapter", "D23 is already taken by line 'right'", "a pin of its own" },
        { "limit: { adapter: D49", "limit: { adapter: A0", "23:21 test-points.limit.adapter", "A0 is already taken by test point 'U3.18'", "a pin of its own" },
        { "right: { adapter: D23", "right: { adapter: D22", "15:21 lines.right.adapter", "D22 is already taken by line 'left'", "a pin of its own" },
        { "J1.4: { adapter: D23 }", "J1.4: { adapter: D23, divider: 10 kohm / 10 kohm }", "19:34 test-points.J1.4.divider", "line 'right' drives this pin", "remove the divider" },
        // YAML.
        { "  U3: { type", "\tU3: { type", "9:1", "indented with a tab", "spaces" },
        { "  U3: { type", " \tU3: { type", "9:2", "indented with a tab", "spaces" },
        { "board: { name: Test card }", "board: &b { name: Test card }", "2:8 board", "an anchor", "write the value out" },
    };

    [Theory]
    [MemberData(nameof(Mistakes))]
    public void A_mistake_is_found_at_its_place_with_a_remedy(string from, string to, string place, string what, string remedy) => _profile.Expect(from, to, place, what, remedy);

    private void Expect(ProfileResult result, params string[] errors)
    {
        Assert.Null(result.Board);
        Assert.Equal(errors, result.Errors.Select(error => error.ToString().Replace(_profile.Folder + Path.DirectorySeparatorChar, "", StringComparison.Ordinal)));
    }

    [Fact]
    public void All_errors_are_reported_at_once_in_reading_order() => Expect(
        Load(Good
            .Replace("sensed-at: LOGIC", "sensed-at: LOGIK", StringComparison.Ordinal)
            .Replace("idle: high, pull-up", "idel: high, pull-up", StringComparison.Ordinal)
            .Replace("U3 2>18", "U3 2>16", StringComparison.Ordinal)
            .Replace("within: 400 ms", "within: 400", StringComparison.Ordinal)),
        "card.yaml:4:41: supplies.logic.sensed-at: there is no test point 'LOGIK'; did you mean 'LOGIC'?",
        "card.yaml:14:25: lines.left.idel: there is no key 'idel' here; did you mean 'idle'?",
        "card.yaml:22:3: test-points.LOGIC: nothing tells how high 'LOGIC' can go; name the supply that it is pulled up to: 'supply: logic'",
        "card.yaml:31:13: channels.left.path[1]: a 74LS240 has no section 2>16; did you mean 'U3 2>18'?",
        "card.yaml:35:41: channels.left.feedback.encoder.within: '400' has no unit; write a time with one of the units ms, ns, s, us, for example '250 ms'");

    [Fact]
    public void Two_lines_at_one_point_of_the_connector_are_an_error()
    {
        var result = Load(Change("right at J1.4", "right at J1.2"));
        Assert.Contains(result.Errors, error => error is { Line: 39, Column: 12 } && error.What.Contains("'J1.2' is driven by line 'left' already", StringComparison.Ordinal));
    }

    [Fact]
    public void A_line_that_floats_must_end_in_an_input_that_floats_high()
    {
        var result = Load(Change("path: [ U3 4>16 ]", "path: [ Q2 ]").Replace("  Q1: {", "  Q2: { type: BD140, supply: logic }\n  Q1: {", StringComparison.Ordinal));
        Expect(result, "card.yaml:16:49: lines.right.floats-to: the line ends in Q2, and nothing says that the input of a BD140 floats high; fit a pull-up and declare it: 'pull-up: 4.7 kohm to logic'");
    }

    [Fact]
    public void A_line_that_idles_low_is_accepted_with_a_strong_pull_down_or_a_statement()
    {
        const string Written = "idle: high, pull-up: 4.7 kohm to logic";
        Assert.Equal("1 kohm pull-down", Load(Change(Written, "idle: low, pull-down: 1 kohm")).Board!.Lines[0].IdlesBy);
        Assert.Equal("the driver module", Load(Change(Written, "idle: low, held-low-by: the driver module")).Board!.Lines[0].IdlesBy);
    }

    [Theory]
    [InlineData("5 V ± 5 %")]
    [InlineData("5 V ±5%")]
    [InlineData("5V +/- 5 %")]
    [InlineData("5000 mV +-5%")]
    [InlineData("0.005 kV ± 5 %")]
    public void A_voltage_and_its_tolerance_may_be_written_in_several_ways(string written)
    {
        var supply = Load(Change("5 V ± 5 %", written)).Board!.Supplies[0];
        Assert.Equal((5, 0.05), (supply.Nominal.Value, supply.Tolerance));
    }

    [Theory]
    [InlineData("0..25 us", 0, 25_000_000)]
    [InlineData("..25 us", 0, 25_000_000)]
    [InlineData("500 ns..25 us", 500_000, 25_000_000)]
    [InlineData("0.5..25 µs", 500_000, 25_000_000)]
    [InlineData("0 .. 0.025 ms", 0, 25_000_000)]
    public void An_override_replaces_the_derived_window_and_keeps_its_reason(string written, long earliest, long latest)
    {
        var stage = Load(Change("0..25 us", written)).Board!.Channels[0].Stages[1];
        Assert.Equal((earliest, latest, "override: four good cards"), (stage.Fall.Earliest.Picoseconds, stage.Fall.Latest.Picoseconds, stage.Fall.Origin));
        Assert.DoesNotContain("override", stage.Rise.Origin, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("220 ohm")]
    [InlineData("220 Ω")]
    [InlineData("220 \u2126")]
    [InlineData("0.22 kohm")]
    [InlineData("0.22 kΩ")]
    [InlineData("0.00022 Mohm")]
    public void A_resistance_may_be_written_in_several_ways(string written)
    {
        var board = Load(Change("220 ohm", written)).Board!;
        Assert.Equal(220, board.Parts.OfType<TestRig.Core.Boards.IsolatorPart>().Single().LedResistor.Value, 9);
    }

    [Theory]
    [InlineData("keep-apart: [ [left, right] ]", "keep-apart: [ [left, right] ", 16, 13)]
    [InlineData("{ pulses: 8..12, within: 400 ms }", "{ pulses: 8..12, within: 400 ms", 35, 16)]
    [InlineData("stops:", "stops", 27, 8)]
    [InlineData("cautions: [ Mind your fingers. ]", "cautions: [ \"Mind your fingers. ]", 43, 13)]
    [InlineData("board: { name: Test card }", "board: { name: @Test }", 2, 16)]
    public void Broken_yaml_is_reported_with_line_and_column(string from, string to, int line, int column)
    {
        var error = Assert.Single(Load(Change(from, to)).Errors);
        Assert.Equal((line, column), (error.Line, error.Column));
        Assert.StartsWith("this is not YAML: ", error.What, StringComparison.Ordinal);
    }

    /// <summary>A profile with slips of the keyboard in it is answered, never thrown at: a seeded walk through such slips.</summary>
    [Fact]
    public void Slips_of_the_keyboard_never_throw_and_every_error_has_a_place_and_a_remedy()
    {
        const string Keys = "[]{}:,#&*!|>'\"%@`-\t\n ?.0aµ±\\";
        var random = new Random(20);
        for (var round = 0; round < 400; round++)
        {
            var text = Good;
            for (var slips = random.Next(1, 4); slips > 0; slips--)
            {
                var at = random.Next(text.Length);
                text = random.Next(3) switch
                {
                    0 => text.Remove(at, 1),
                    1 => text.Insert(at, Keys[random.Next(Keys.Length)].ToString()),
                    _ => text[..at] + Keys[random.Next(Keys.Length)] + text[(at + 1)..],
                };
            }
            var result = Load(text);
            Assert.Equal(result.Errors.IsEmpty, result.Board is not null);
            Assert.All(result.Errors, error =>
            {
                Assert.InRange(error.Line, 1, text.Split('\n').Length + 1);
                Assert.True(error.Column >= 1 && error.What.Length > 0 && error.Remedy.Length > 0, error.ToString());
            });
        }
    }

    [Theory]
    [InlineData("signals: { J1.3: { name: a } }", "there is no test point 'J1.3'", "did you mean")]
    [InlineData("signals: { J1.2: { name: a }, J1.4: { name: a } }", "'a' is J1.2 already", "one test point")]
    [InlineData("signals: { J1.2: { name: a, low-at-most: 1 V } }", "only one of the two limits", "write both")]
    [InlineData("signals: { J1.2: { name: a, low-at-most: 2 V, high-at-least: 1 V } }", "would be low up to", "below the high one")]
    [InlineData("resolution: 0 ns", "a time of 0", "write how long")]
    public void What_a_profile_says_of_recordings_is_checked(string recordings, string what, string remedy)
    {
        var error = Assert.Single(Load(Good + $"recordings: {{ {recordings} }}\n").Errors);
        Assert.Contains(what, error.What, StringComparison.Ordinal);
        Assert.Contains(remedy, error.Remedy, StringComparison.Ordinal);
        Assert.Equal(Good.Split('\n').Length, error.Line);
    }

    [Fact]
    public void A_second_document_and_an_alias_are_refused()
    {
        Assert.Contains("second document", Assert.Single(Load(Good + "---\nformat: x\n").Errors).What, StringComparison.Ordinal);
        Assert.Equal((43, 11), Load(Change("[ Mind your fingers. ]", "*c")).Errors.Select(error => (error.Line, error.Column)).First());
    }

    [Fact]
    public void Text_that_is_not_utf8_is_located()
    {
        var path = Path.Combine(_profile.Folder, "latin.yaml");
        File.WriteAllBytes(path, [.. "format: testrig-profile/1\nboard: { name: K"u8, 0xFC, .. "hler }\n"u8]);
        var error = Assert.Single(ProfileLoader.Load(path, Repository.PartsFolder).Errors);
        Assert.Equal((2, 17, "the text is not valid UTF-8"), (error.Line, error.Column, error.What));
    }

    [Fact]
    public void A_missing_file_and_an_empty_one_are_errors_of_the_file()
    {
        var missing = Assert.Single(ProfileLoader.Load(Path.Combine(_profile.Folder, "none.yaml"), Repository.PartsFolder).Errors);
        Assert.Equal(0, missing.Line);
        Assert.Contains("cannot be read", missing.What, StringComparison.Ordinal);
        Assert.Contains("'format: testrig-profile/1'", Assert.Single(Load("").Errors).Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_the_part_library_the_library_is_what_is_reported()
    {
        var path = Path.Combine(_profile.Folder, "card.yaml");
        File.WriteAllText(path, Good);
        var result = ProfileLoader.Load(path, Path.Combine(_profile.Folder, "nowhere"));
        Assert.Null(result.Board);
        Assert.Contains(result.Errors, error => error.What.Contains("folder of part files cannot be read", StringComparison.Ordinal));
    }
}
