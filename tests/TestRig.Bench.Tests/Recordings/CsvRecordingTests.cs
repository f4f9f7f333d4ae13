using System.Globalization;
using System.Text;
using TestRig.Bench.Recordings;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using static TestRig.Bench.Tests.Recordings.LampRecording;

namespace TestRig.Bench.Tests.Recordings;

public class CsvRecordingTests
{
    /// <summary>Lamp 1 on from row 3 to row 6, its buffer one row behind, in steps of 5 ns from 0; lamp 2 never.</summary>
    private static string Rows(string heading, char separator = ',', string high = "1", string low = "0", decimal step = 5, string end = "\n", bool comma = false, int count = 1000)
    {
        var text = new StringBuilder(heading.Length > 0 ? heading + end : "");
        for (var row = 0; row < count; row++)
        {
            var time = (row * step).ToString(CultureInfo.InvariantCulture);
            text.Append(comma ? time.Replace('.', ',') : time);
            foreach (var on in (bool[])[row is >= 300 and < 600, false, row is >= 301 and < 601, false])
                text.Append(separator).Append(on ? high : low);
            text.Append(end);
        }
        return text.ToString();
    }

    private const string Heading = "time [ns],P1.1,P1.2,U1.18,U1.16";

    [Theory]
    [InlineData(',', "\n")]
    [InlineData(';', "\r\n")]
    [InlineData('\t', "\n")]
    public void Columns_are_separated_by_commas_semicolons_or_tabs(char separator, string end) =>
        Working(Judge("lamps.csv", Rows(Heading.Replace(',', separator), separator, end: end)));

    [Fact]
    public void A_byte_order_mark_remarks_and_blank_lines_are_no_rows() =>
        Working(Judge("lamps.csv", "\uFEFF# recorded on the bench\n\n" + Rows(Heading).Replace("\n2000,", "\n\n2000,", StringComparison.Ordinal)));

    [Fact]
    public void A_decimal_comma_is_read_where_it_separates_no_columns() =>
        Working(Judge("lamps.csv", Rows("t [us];P1.1;P1.2;U1.18;U1.16", ';', step: 0.005m, comma: true)));

    [Theory]
    [InlineData("time [ns]", 5)]
    [InlineData("Time (us)", 0.005)]
    [InlineData("t [ps]", 5000)]
    [InlineData("when [s]", 0.000000005)]
    public void The_unit_of_the_time_is_that_of_its_heading(string time, double step)
    {
        var result = Working(Judge("lamps.csv", Rows(Heading.Replace("time [ns]", time, StringComparison.Ordinal), step: (decimal)step)));
        // The buffer's change lies somewhere between two rows, as the command's does.
        Assert.Equal((5_000L, Timing.Conforms), Of(result));
        static (long, Timing?) Of(RecordingResult result) => result.Sweep.Channels[0].Findings.Where(finding => finding.Stage == 0).Select(finding => (finding.Delay!.Value.Picoseconds, finding.Timing)).First();
    }

    [Theory]
    [InlineData("high", "low")]
    [InlineData("H", "L")]
    [InlineData("1.0", "0.0")]
    [InlineData("\"1\"", "\"0\"")]
    public void Levels_have_several_words(string high, string low) => Working(Judge("lamps.csv", Rows(Heading, high: high, low: low)));

    [Fact]
    public void Names_and_units_may_stand_in_the_profile()
    {
        const string Names = """
            recordings:
              time: { column: "1", unit: ns }
              signals: { P1.1: { name: "2" }, U1.18: { name: "4", unit: mV } }
            """;
        var rows = Rows("").Split('\n').Select(row => row.Split(',')).Where(row => row.Length > 1).Select(row => string.Join(',', row[0], row[1], row[2], row[3] == "1" ? "4200" : "300", row[4]));
        var channel = Judge("lamps.csv", string.Join('\n', rows), Names).Sweep.Channels[0];
        Assert.Equal(Condition.Working, channel.Condition);
        Assert.Contains("Voltages are good at U1.18", channel.Summary, StringComparison.Ordinal);
    }

    /// <summary>Both limits of the profile's own; between them the point keeps its level, so a slow edge is one change, as wide as it is slow.</summary>
    [Fact]
    public void A_level_is_made_of_a_voltage_with_hysteresis()
    {
        const string Limits = "recordings: { signals: { U1.18: { name: U1.18, low-at-most: 0.8 V, high-at-least: 2 V } } }";
        var rows = Rows(Heading.Replace("U1.18", "U1.18 [V]", StringComparison.Ordinal), step: 1).Split('\n').Select((row, index) => row.Split(',') is { Length: 5 } fields && index > 0
            ? string.Join(',', fields[0], fields[1], fields[2], (index - 1) switch { 301 => "1.9", 302 => "0.9", 303 => "1.9", >= 304 and < 601 => "3.4", 601 => "1.5", _ => "0.3" }, fields[4])
            : row);
        var channel = Judge("lamps.csv", string.Join('\n', rows), Limits).Sweep.Channels[0];
        Assert.Equal(Condition.Working, channel.Condition);
        var changes = channel.Record!.Captures[0].Find("U1.18")!.Changes;
        Assert.Equal([(4_000L, Level.High), (2_000L, Level.Low)], changes.Select(change => (change.Width.Picoseconds, change.Level)));
    }

    [Theory]
    [InlineData(4.2, Condition.Working)]
    [InlineData(1.9, Condition.Weak)] // no sure high for what is behind it: TTL needs 2 V
    public void Voltages_are_judged_by_the_receivers_limits(double high, Condition condition)
    {
        var text = Rows(Heading, high: "HIGH", low: "LOW").Split('\n').Select((row, index) => index == 0 ? row.Replace("U1.18", "U1.18 [V]", StringComparison.Ordinal)
            : row.Split(',') is { Length: 5 } fields ? string.Join(',', fields[0], fields[1], fields[2], fields[3] == "HIGH" ? high.ToString(CultureInfo.InvariantCulture) : "0.3", fields[4]) : row);
        Assert.Equal(condition, Judge("lamps.csv", string.Join('\n', text)).Sweep.Channels[0].Condition);
    }

    /// <summary>Rows 2 µs apart leave a delay of some nanoseconds open, and are no fault.</summary>
    [Fact]
    public void A_change_lies_between_two_rows()
    {
        var channel = Working(Judge("lamps.csv", Rows(Heading, step: 2_000, count: 4_000))).Sweep.Channels[0];
        Assert.Equal(Timing.NotResolved, channel.Findings.First(finding => finding.Stage == 0).Timing);
    }

    [Fact]
    public void Times_count_from_the_first_row_and_may_be_negative()
    {
        var text = Rows(Heading).Split('\n').Select((row, index) => index > 0 && row.Length > 0 ? string.Create(CultureInfo.InvariantCulture, $"{int.Parse(row.Split(',')[0], CultureInfo.InvariantCulture) - 1000}{row[row.IndexOf(',', StringComparison.Ordinal)..]}") : row);
        Working(Judge("lamps.csv", string.Join('\n', text)));
    }

    [Theory]
    [InlineData("time,P1.1\n0,0\n1,1", 1, "does not say its unit")]
    [InlineData("time [min],P1.1\n0,0\n1,1", 1, "'min' is none")]
    [InlineData("time [us],P1.1 [A]\n0,0\n1,1", 1, "unit 'A'")]
    [InlineData("time [us],P1.1,P1.1\n0,0,0\n1,1,1", 1, "several columns")]
    [InlineData("time [us],P1.1\n0,0\n2,1\n1,0", 4, "the time goes back")]
    [InlineData("time [us],P1.1\n0,0\n2,4.97", 3, "'4.97' in column 'P1.1' is no level")]
    [InlineData("time [us],P1.1\n0,0\nsoon,1", 3, "'soon' is no time")]
    [InlineData("time [us],P1.1 [V]\n0,0\n1,high", 3, "'high' is no voltage")]
    [InlineData("time [us],P1.1\n0,0\n\n2", 4, "the row has 1 columns")]
    [InlineData("time [us],P1.1\n0,0\n1e20,1", 3, "beyond what can be judged")]
    [InlineData("just words\n1\n2", 0, "has one column")]
    [InlineData("", 0, "the file is empty")]
    [InlineData("# nothing else\n", 0, "the file is empty")]
    public void A_mistake_is_told_with_its_line(string text, long line, string what)
    {
        var wrong = Assert.Throws<RecordingException>(() => Judge("lamps.csv", text));
        Assert.Contains(what, wrong.Message, StringComparison.Ordinal);
        Assert.Equal(line, wrong.Line);
    }

    [Fact]
    public void A_column_that_the_profile_names_must_be_there()
    {
        var wrong = Assert.Throws<RecordingException>(() => Judge("lamps.csv", Rows(Heading), "recordings: { signals: { P1.1: { name: P1_1 } } }"));
        Assert.Contains("did you mean 'P1.1'?", wrong.Message, StringComparison.Ordinal);
    }

    private static RecordingResult Working(RecordingResult result)
    {
        Assert.Equal([Condition.Working, Condition.NotTested], result.Sweep.Channels.Select(channel => channel.Condition));
        return result;
    }
}
