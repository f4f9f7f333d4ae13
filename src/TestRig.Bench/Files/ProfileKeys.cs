using static TestRig.Bench.Files.KeyRule;
using static TestRig.Bench.Files.ValueForm;

namespace TestRig.Bench.Files;

/// <summary>
/// The keys of a profile, group by group: which there are, which are required, and what stands behind each. <see cref="ProfileReader"/> reads by these
/// rules and <see cref="ProfileSchema"/> publishes them, so the two cannot disagree.
/// </summary>
internal static class ProfileKeys
{
    /// <summary>A line, and the test point where it meets the board.</summary>
    public const string DrivePattern = @"^(?<line>\S+)\s+at\s+(?<point>\S+)$";

    /// <summary>A section by part and pin numbers, or a part alone.</summary>
    public const string SectionPattern = @"^(?<part>[^\s>]+)(?:\s+(?<in>[^\s>]+)\s*>\s*(?<out>[^\s>]+))?$";

    /// <summary>What a pin is wired to: a supply, ground, or a test point and the level that it has.</summary>
    public const string TiePattern = @"^(?<to>\S+)(?:\s+is\s+(?<level>low|high))?$";

    /// <summary>In place of a list: this stop input ends every line.</summary>
    public const string AllLines = "all";

    public static readonly (string Word, bool Value)[] TakenAtWords = [("collector", true), ("emitter", false)];

    public static readonly KeyRule[] Board = [Must("name", "name: Dome drive card", Text)];

    public static readonly KeyRule[] Supply =
    [
        Must("volts", "volts: 5 V ± 5 %", Like(QuantityReader.VoltsWithTolerancePattern)), May("sensed-at", Text), May("motion", TrueOrFalse),
    ];

    public static readonly KeyRule[] Ground = [Must("isolated-from", "isolated-from: logic", Text), May("bridged-because", Text)];

    public static readonly KeyRule[] Led = [Must("from", "from: logic", Text), Must("resistor", "resistor: 220 ohm", Like(QuantityReader.OhmsPattern))];

    public static readonly KeyRule[] Output =
    [
        Must("from", "from: isolated", Text), Must("load", "load: 10 kohm", Like(QuantityReader.OhmsPattern)),
        May("taken-at", OneOf(TakenAtWords.Select(choice => choice.Word))),
    ];

    public static readonly KeyRule[] Part =
    [
        Must("type", "type: 74LS240", Text), May("supply", Text), May("led", Group(Led)), May("output", Group(Output)), May("load", Like(QuantityReader.OhmsPattern)),
        May("pull-up", Like(QuantityReader.OhmsPattern)), May("tied", NamesOf(Like(TiePattern))),
    ];

    public static readonly KeyRule[] Line =
    [
        Must("adapter", "adapter: D22", Text), Must("idle", "idle: high", Level), Must("motion", "motion: true", TrueOrFalse),
        Must("longest-on", "longest-on: 500 ms", Like(QuantityReader.DurationPattern)), Must("rest", "rest: 250 ms", Like(QuantityReader.DurationPattern)),
        May("pull-up", Like(QuantityReader.ResistorToSupplyPattern)), May("pull-down", Like(QuantityReader.OhmsPattern)), May("held-low-by", Text),
        May("floats-to", Level), May("series", Like(QuantityReader.OhmsPattern)),
    ];

    public static readonly KeyRule[] Multiplexer =
        [Must("type", "type: 74HC4051", Text), Must("common", "common: A0", Text), Must("select", "select: [D6, D7, D8]", ListOf(Text, least: 1))];

    public static readonly KeyRule[] TestPoint =
        [May("adapter", Text), May("divider", Like(QuantityReader.DividerPattern)), May("series", Like(QuantityReader.OhmsPattern)), May("ground", Text), May("supply", Text)];

    public static readonly KeyRule[] Stop =
        [Must("goes", "goes: low", Level), Must("ends", "ends: [ rotate-left ]", Either(OneOf([AllLines]), ListOf(Text, least: 1)))];

    public static readonly KeyRule[] Exercise = [Must("motion-on", "motion-on: 400 ms", Like(QuantityReader.DurationPattern))];

    public static readonly KeyRule[] PulseFeedback =
    [
        Must("pulses", "pulses: 8..12", Like(QuantityReader.CountRangePattern)), Must("within", "within: 400 ms", Like(QuantityReader.DurationPattern)),
    ];

    public static readonly KeyRule[] SwitchFeedback =
    [
        Must("bounces", "bounces: ..10", Like(QuantityReader.CountAtMostPattern)),
        Must("settles-within", "settles-within: 5 ms", Like(QuantityReader.DurationPattern)),
        May("debounce", Like(QuantityReader.DurationPattern)),
    ];

    public static readonly KeyRule[] Override =
    [
        May("rises", Like(QuantityReader.DurationRangePattern)), May("falls", Like(QuantityReader.DurationRangePattern)),
        Must("because", "because: measured on three good cards", Text),
    ];

    public static readonly KeyRule[] Channel =
    [
        Must("drive", "drive: rotate-left at J1.2", Like(DrivePattern)), Must("path", "path: [ U3 2>18, OK1, Q1 ]", ListOf(Like(SectionPattern), least: 1)),
        May("exercise", Group(Exercise)), May("undone-by", Text),
        May("feedback", NamesOf(Either(Group(PulseFeedback), Group(SwitchFeedback)))), May("expect", NamesOf(Group(Override))),
    ];

    public static readonly KeyRule[] Controller = [Must("disabled-by", "disabled-by: unplug it from J1", Text), May("sensed-at", Text), May("is", Level)];

    public static readonly KeyRule[] RatioLoad =
        [Must("resistor", "resistor: 150 ohm", Like(QuantityReader.OhmsPattern)), Must("adapter", "adapter: D30", Text), Must("low-end", "low-end: RATIO-LOW", Text)];

    public static readonly KeyRule[] DelayLoad = [Must("adapter", "adapter: D31", Text)];

    public static readonly KeyRule[] Socket =
    [
        Must("part", "part: DUT", Text), Must("anode", "anode: DUT.1", Text), Must("cathode", "cathode: CATHODE", Text), Must("sink", "sink: SINK", Text),
        Must("ratio-load", "ratio-load: { resistor: 150 ohm, adapter: D30, low-end: RATIO-LOW }", Group(RatioLoad)), Must("delay-load", "delay-load: { adapter: D31 }", Group(DelayLoad)),
        Must("bleeder", "bleeder: 1 Mohm", Like(QuantityReader.OhmsPattern)), Must("tolerance", "tolerance: 1 %", Like(QuantityReader.FractionPattern)),
    ];

    /// <summary>What 1 in a column of the time is.</summary>
    public static readonly (string Word, Core.Quantities.Duration Value)[] TimeUnits =
        [("s", new(1_000_000_000_000)), ("ms", new(1_000_000_000)), ("us", new(1_000_000)), ("ns", new(1_000)), ("ps", new(1))];

    /// <summary>What 1 in a column of voltages is.</summary>
    public static readonly (string Word, Core.Quantities.Volts Value)[] VoltageUnits = [("V", new(1)), ("mV", new(1e-3)), ("kV", new(1e3))];

    public static readonly KeyRule[] RecordedTime = [May("column", Text), May("unit", OneOf(TimeUnits.Select(choice => choice.Word)))];

    public static readonly KeyRule[] RecordedSignal =
    [
        Must("name", "name: top.board.u3_18", Text), May("unit", OneOf(VoltageUnits.Select(choice => choice.Word))),
        May("low-at-most", Like(QuantityReader.VoltsPattern)), May("high-at-least", Like(QuantityReader.VoltsPattern)),
    ];

    public static readonly KeyRule[] Recordings =
    [
        May("signals", NamesOf(Group(RecordedSignal))), May("time", Group(RecordedTime)), May("resolution", Like(QuantityReader.DurationPattern)),
        May("clock-tolerance", Like(QuantityReader.SharePattern)),
    ];

    public static readonly KeyRule[] Root =
    [
        Must("format", $"format: {ProfileReader.Format}", OneOf([ProfileReader.Format])), Must("board", "board: { name: Dome drive card }", Group(Board)),
        May("controller", Group(Controller)),
        Must("supplies", "supplies: { logic: { volts: 5 V ± 5 % } }", NamesOf(Group(Supply))), May("grounds", NamesOf(Group(Ground))),
        Must("parts", "parts: { U3: { type: 74LS240, supply: logic } }", NamesOf(Group(Part))),
        Must("lines", "lines: { rotate-left: { … } }", NamesOf(Group(Line))),
        May("multiplexers", NamesOf(Group(Multiplexer))),
        Must("test-points", "test-points: { J1.2: { adapter: D22 } }", NamesOf(Group(TestPoint))),
        May("keep-apart", ListOf(ListOf(Text, least: 2, most: 2))), May("lines-on-together", Number), May("stops", NamesOf(Group(Stop))),
        Must("channels", "channels: { rotate-left: { … } }", NamesOf(Group(Channel), least: 1)), May("socket", Group(Socket)), May("cautions", ListOf(Text)),
        May("recordings", Group(Recordings)),
    ];
}
