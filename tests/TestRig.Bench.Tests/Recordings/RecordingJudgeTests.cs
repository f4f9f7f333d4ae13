using System.Globalization;
using System.Text;
using TestRig.Bench.Files;
using TestRig.Bench.Recordings;
using TestRig.Bench.Reporting;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using static TestRig.Bench.Tests.Recordings.LampRecording;

namespace TestRig.Bench.Tests.Recordings;

public class RecordingJudgeTests
{
    [Fact]
    public void A_command_that_arrives_works_and_its_delay_is_that_of_the_dump()
    {
        var result = Judge("lamps.vcd", Vcd([.. Pulse(1, 100_000, 200_000, 11, 13), .. Pulse(2, 2_000_000, 2_100_000)])).Sweep;
        Assert.Equal([Condition.Working, Condition.Working], result.Channels.Select(channel => channel.Condition));
        Assert.False(result.Incomplete);
        Assert.Equal(
            [("U1.18", 11_000L), ("U1.18", 13_000L)],
            result.Channels[0].Findings.Where(finding => finding.Stage == 0).Select(finding => (finding.TestPoint, finding.Delay!.Value.Picoseconds)));
        Assert.Contains("No voltage was read", result.Channels[0].Summary, StringComparison.Ordinal);
        Assert.Contains(result.Checks, check => check is { Name: "voltages", Made: false });
    }

    [Theory]
    [InlineData(16, Condition.Working, Timing.Conforms)]
    [InlineData(18, Condition.Working, Timing.NotResolved)] // each end is known to 1 ns
    [InlineData(19, Condition.Working, Timing.NotResolved)]
    [InlineData(20, Condition.Slow, Timing.Violates)]
    public void A_delay_at_its_limit_of_18_ns_is_judged_by_the_step_of_the_times(long delay, Condition condition, Timing timing)
    {
        var channel = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000, delay))).Sweep.Channels[0];
        Assert.Equal(condition, channel.Condition);
        Assert.Equal(timing, channel.Findings.First(finding => finding.Stage == 0).Timing);
    }

    /// <summary>A delay of 40 ns is too long for who knows it to 1 ns, and anything for who samples every 50 ns; 200 ns are too long for both.</summary>
    [Theory]
    [InlineData(40, null, Condition.Slow)]
    [InlineData(40, 50, Condition.Working)]
    [InlineData(200, 50, Condition.Slow)]
    public void What_the_instrument_does_not_resolve_is_no_fault(long delay, int? resolution, Condition condition)
    {
        var options = new RecordingOptions(Core.Scheduling.ExerciseMode.LogicOnly, resolution is { } nanoseconds ? Duration.FromNanoseconds(nanoseconds) : null);
        var result = LampRecording.Judge("lamps.vcd", Encoding.ASCII.GetBytes(Vcd(Pulse(1, 100_000, 200_000, delay))), Board(), options).Sweep;
        Assert.Equal(condition, result.Channels[0].Condition);
        Assert.Equal(resolution is not null, result.Checks.Single(check => check.Name == "resolution").Made);
        Assert.Equal(condition, LampRecording.Judge("lamps.vcd", Encoding.ASCII.GetBytes(Vcd(Pulse(1, 100_000, 200_000, delay))), Board(resolution is null ? "" : $"recordings: {{ resolution: {resolution} ns }}"), options with { Resolution = null }).Sweep.Channels[0].Condition);
    }

    [Fact]
    public void A_dead_stage_is_found_and_named()
    {
        var result = Judge("lamps.vcd", Vcd([.. Pulse(1, 100_000, 200_000).Where(change => !change.Contains("U1.18", StringComparison.Ordinal)), .. Pulse(2, 2_000_000, 2_100_000)])).Sweep;
        Assert.Equal([Condition.StuckLow, Condition.Working], result.Channels.Select(channel => channel.Condition));
        Assert.Contains("U1", Assert.Single(result.Diagnosis.Faults).Suspects[0].Group[0], StringComparison.Ordinal);
    }

    [Fact]
    public void A_channel_that_was_never_commanded_or_not_recorded_is_not_tested()
    {
        var result = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000))).Sweep;
        Assert.Equal([Condition.Working, Condition.NotTested], result.Channels.Select(channel => channel.Condition));
        Assert.Contains("was not commanded", result.Channels[1].Summary, StringComparison.Ordinal);
        Assert.True(result is { Incomplete: true, AnyFaulty: false });

        var without = Judge("lamps.vcd", Vcd([.. Pulse(1, 100_000, 200_000), .. Pulse(2, 2_000_000, 2_100_000)]).Replace("\\P1.2", "\\other", StringComparison.Ordinal)).Sweep;
        Assert.Contains("P1.2, where its command enters, is not in the recording", without.Channels[1].Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_last_stage_that_was_not_recorded_is_no_pass()
    {
        var result = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000)).Replace("\\U1.18", "\\other", StringComparison.Ordinal)).Sweep;
        Assert.Equal(Condition.NotTested, result.Channels[0].Condition);
        Assert.Contains("not judged: U1.18", result.Checks[0].Words, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("x")]
    [InlineData("z")]
    public void A_stretch_without_a_known_level_is_no_pass(string value)
    {
        string[] pulse = Pulse(1, 100_000, 200_000);
        var result = Judge("lamps.vcd", Vcd([.. pulse, $"150000 U1.18 {value}", "160000 U1.18 1"])).Sweep.Channels[0];
        Assert.Equal(Condition.NotTested, result.Condition);
        // On another channel's point it is no matter.
        Assert.Equal(Condition.Working, Judge("lamps.vcd", Vcd([.. pulse, $"150000 U1.16 {value}", "160000 U1.16 0"])).Sweep.Channels[0].Condition);
    }

    [Fact]
    public void While_the_dump_is_off_nothing_is_known()
    {
        var text = Vcd(Pulse(1, 100_000, 200_000));
        var off = text.Replace("#200000\n", "#150000\n$dumpoff\n$end\n#160000\n$dumpon\n1!\n0\"\n1#\n0$\n$end\n#200000\n", StringComparison.Ordinal);
        Assert.Equal(Condition.NotTested, Judge("lamps.vcd", off).Sweep.Channels[0].Condition);
        // With another command behind it that was seen whole, it still is not: what could not be judged in one exercise may be what fails.
        var again = off.Replace("#4000000\n", "#2000000\n1!\n#2000012\n1#\n#2100000\n0!\n#2100012\n0#\n#4000000\n", StringComparison.Ordinal);
        Assert.Equal(Condition.NotTested, Judge("lamps.vcd", again).Sweep.Channels[0].Condition);
    }

    [Theory]
    [InlineData(150_000)] // while it is on
    [InlineData(200_015)] // before its end must have arrived
    public void A_recording_that_ends_in_an_exercise_does_not_judge_it(long end)
    {
        var only = Judge("lamps.vcd", Vcd(end, [.. Pulse(1, 100_000, 200_000).Where(change => long.Parse(change.Split(' ')[0], CultureInfo.InvariantCulture) <= end)])).Sweep.Channels[0];
        Assert.Equal(Condition.NotTested, only.Condition);
        Assert.Contains("The recording ends", only.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_command_from_before_the_recording_is_left_out_and_told()
    {
        var result = Judge("lamps.vcd", Vcd(["0 P1.1 1", "0 U1.18 1", "50000 P1.1 0", "50012 U1.18 0", .. Pulse(1, 2_000_000, 2_100_000)])
            .Replace("0!\n0\"\n0#", "1!\n0\"\n1#", StringComparison.Ordinal)).Sweep;
        Assert.Equal(Condition.Working, result.Channels[0].Condition);
        Assert.Contains(result.Checks, check => check.Name == "left out of lamp-1");
        Assert.DoesNotContain(result.Checks, check => check.Name == "quiet");
    }

    [Fact]
    public void What_comes_and_goes_is_intermittent_with_its_count()
    {
        string[] changes = [.. Enumerable.Range(0, 20).SelectMany(time => Pulse(1, 100_000 + (time * 2_000_000L), 200_000 + (time * 2_000_000L)).Where(change => time % 10 != 9 || !change.Contains("U1.18", StringComparison.Ordinal)))];
        var channel = Judge("lamps.vcd", Vcd(50_000_000, changes)).Sweep.Channels[0];
        Assert.Equal(Condition.Intermittent, channel.Condition);
        Assert.Contains("in 2 of 20 repeats", channel.Summary, StringComparison.Ordinal);
    }

    /// <summary>What is kept does not grow with the recording; the first exercise of each condition is always kept.</summary>
    [Fact]
    public void Of_many_exercises_the_first_are_kept_and_the_first_of_each_condition()
    {
        string[] changes = [.. Enumerable.Range(0, 200).SelectMany(time => Pulse(1, 100_000 + (time * 2_000_000L), 200_000 + (time * 2_000_000L), time == 150 ? 500 : 12))];
        var result = Judge("lamps.vcd", Vcd(500_000_000, changes)).Sweep;
        Assert.Equal((200, RecordingJudge.MostKept + 1), (result.Repeats, result.Rounds.Length));
        Assert.Equal(Condition.Slow, result.Rounds[^1].Channels[0].Condition);
        Assert.Equal([("Working", 199), ("Slow", 1)], result.Channels[0].Outcomes.Select(outcome => (outcome.Condition.ToString(), outcome.Times)));
    }

    [Fact]
    public void A_command_too_short_for_its_answer_is_not_judged()
    {
        var channel = Judge("lamps.vcd", Vcd("100000 P1.1 1", "100005 P1.1 0")).Sweep.Channels[0];
        Assert.Equal(Condition.NotTested, channel.Condition);
        Assert.Contains("only", channel.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void A_command_that_bounces_is_one_command_and_is_found_to_bounce()
    {
        var channel = Judge("lamps.vcd", Vcd(
            "100000 P1.1 1", "100003 P1.1 0", "100009 P1.1 1", "100021 U1.18 1", "200000 P1.1 0", "200012 U1.18 0")).Sweep.Channels[0];
        Assert.Equal((Condition.Bouncing, "P1.1"), (channel.Condition, channel.FirstFailure?.TestPoint));
    }

    [Fact]
    public void Commands_at_the_same_time_are_told_apart()
    {
        var result = Judge("lamps.vcd", Vcd([.. Pulse(1, 100_000, 200_000), .. Pulse(2, 150_000, 250_000)])).Sweep;
        Assert.Equal([Condition.Working, Condition.Working], result.Channels.Select(channel => channel.Condition));
        Assert.Equal(["lamp-2"], result.Channels[0].Record!.Exercise.Companions.Select(companion => companion.Name));
    }

    /// <summary>Both outputs follow lamp 2's command alone: what lamp 1 shows, commanded with it always, proves nothing.</summary>
    [Fact]
    public void An_answer_that_may_be_a_faulty_companions_doing_is_no_pass()
    {
        string[] together = ["100000 P1.1 1", "100000 P1.2 1", "100012 U1.18 1", "200000 P1.1 0", "200000 P1.2 0", "200012 U1.18 0"];
        var result = Judge("lamps.vcd", Vcd(together)).Sweep;
        Assert.Equal([Condition.NotTested, Condition.StuckLow], result.Channels.Select(channel => channel.Condition));
        Assert.Contains("never commanded alone", result.Channels[0].Summary, StringComparison.Ordinal);
        Assert.Equal(Condition.Working, Judge("lamps.vcd", Vcd([.. together, .. Pulse(1, 2_000_000, 2_100_000)])).Sweep.Channels[0].Condition);
    }

    [Fact]
    public void What_changes_while_nothing_is_commanded_bars_a_pass()
    {
        var result = Judge("lamps.vcd", Vcd([.. Pulse(1, 100_000, 200_000), "2000000 U1.16 1", "2000400 U1.16 0"])).Sweep;
        Assert.Contains(result.Checks, check => check is { Name: "quiet", Good: false } && check.Words.Contains("U1.16 (2 times", StringComparison.Ordinal));
        Assert.True(result.Incomplete);
    }

    [Fact]
    public void Another_channels_point_that_answers_is_crossed()
    {
        var result = Judge("lamps.vcd", Vcd("100000 P1.1 1", "100012 U1.16 1", "200000 P1.1 0", "200012 U1.16 0")).Sweep;
        Assert.Equal(Condition.Crossed, result.Channels[0].Condition);
    }

    /// <summary>18 ns are permitted. Known to 50 ns, three times as much would not be seen, and 540 ns are: of one section, and of the package where all are so.</summary>
    [Theory]
    [InlineData(12, Core.Diagnosing.FaultMode.Slow, "lamp-1")]
    [InlineData(540, Core.Diagnosing.FaultMode.WholePackage, "lamp-1", "lamp-2")]
    public void What_is_far_slower_than_a_coarse_instrument_needs_to_see_it_is_named(long second, Core.Diagnosing.FaultMode mode, params string[] channels)
    {
        var text = Vcd([.. Pulse(1, 100_000, 200_000, 540, 540), .. Pulse(2, 2_000_000, 2_100_000, second, second)]);
        var result = LampRecording.Judge("lamps.vcd", Encoding.ASCII.GetBytes(text), Board(), new(Core.Scheduling.ExerciseMode.LogicOnly, Duration.FromNanoseconds(50))).Sweep;
        Assert.Equal(channels, result.Channels.Where(channel => channel.Condition == Condition.Slow).Select(channel => channel.Channel.Name));
        var fault = Assert.Single(result.Diagnosis.Faults);
        Assert.Equal("U1", Assert.Single(fault.Suspects[0].Group));
        Assert.Equal((mode, 0), (fault.Suspects[0].Mode, result.Diagnosis.Unexplained.Length));
        Assert.Equal(channels, fault.Channels);
    }

    /// <summary>An instrument has probes and names, and no leads of ours; and exchanged nets show the same.</summary>
    [Fact]
    public void Exchanged_points_are_told_in_the_instruments_words()
    {
        var result = Judge("lamps.vcd", Vcd(
            "100000 P1.1 1", "100012 U1.16 1", "200000 P1.1 0", "200012 U1.16 0", "2000000 P1.2 1", "2000012 U1.18 1", "2100000 P1.2 0", "2100012 U1.18 0")).Sweep;
        var fault = Assert.Single(result.Diagnosis.Faults);
        Assert.Equal("probes at U1.18 and U1.16", fault.Suspects[0].Group[0]);
        Assert.Contains("their names in the recording", fault.Advice, StringComparison.Ordinal);
        Assert.Contains("exchanged on the board", fault.Advice, StringComparison.Ordinal);
        Assert.DoesNotContain("lead", string.Join(" ", result.Diagnosis.Suspects.SelectMany(suspect => suspect.Group).Append(fault.Advice)), StringComparison.Ordinal);
        Assert.DoesNotContain("sweep again", fault.Advice, StringComparison.Ordinal);
    }

    [Fact]
    public void Its_report_cautions_whoever_repairs_and_not_of_driving()
    {
        var result = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000)), "cautions: [ The chimney fan is on mains. ]").Sweep;
        var cautions = string.Join("\n", Cautions.ForRecording(result.Board, result.Mode));
        Assert.Contains("Nothing was driven", cautions, StringComparison.Ordinal);
        Assert.Contains("stored energy", cautions, StringComparison.Ordinal);
        Assert.Contains("The chimney fan is on mains.", cautions, StringComparison.Ordinal);
        Assert.DoesNotContain("adapter", cautions, StringComparison.Ordinal);
        Assert.DoesNotContain("Unplug", cautions, StringComparison.Ordinal);
    }

    [Fact]
    public void More_changes_than_are_kept_are_not_resolved()
    {
        string[] changes = [.. Enumerable.Range(0, 40_000).Select(i => string.Create(CultureInfo.InvariantCulture, $"{200_000 + (i * 20)} U1.18 {i % 2}"))];
        var channel = Judge("lamps.vcd", Vcd(["100000 P1.1 1", "100012 U1.18 1", .. changes, "3000000 P1.1 0", "3000012 U1.18 0"])).Sweep.Channels[0];
        // What was seen of it bounces far too much; of what came then nothing is said.
        Assert.Equal(Condition.Bouncing, channel.Condition);
        Assert.True(channel.Capture!.Signals.Sum(signal => signal.Changes.Length) < 20_000);
    }

    /// <summary>Names that differ, bits of a vector, and a name that two variables have.</summary>
    [Fact]
    public void Signals_are_found_by_name_scope_and_bit()
    {
        const string Dump = """
            $timescale 1 ns $end
            $scope module top $end
            $scope module card $end
            $var wire 2 ! drive [1:0] $end
            $upscope $end
            $scope module lamps $end
            $var wire 2 " drive [0:1] $end
            $upscope $end
            $upscope $end
            $enddefinitions $end
            #0 b00 ! b00 " #100000 b1 ! #100012 b10 " #200000 b0 ! #200012 b00 " #4000000
            """;
        const string Names = "recordings: { signals: { P1.1: { name: \"card.drive[0]\" }, U1.18: { name: \"top.lamps.drive[0]\" } } }";
        Assert.Equal(Condition.Working, Judge("lamps.vcd", Dump, Names).Sweep.Channels[0].Condition);
        string Refused(string names) => Assert.Throws<RecordingException>(() => Judge("lamps.vcd", Dump, names)).Message;
        Assert.Contains("several variables are called 'drive[0]'", Refused(Names.Replace("card.drive[0]", "drive[0]", StringComparison.Ordinal)), StringComparison.Ordinal);
        Assert.Contains("has no bit 2", Refused(Names.Replace("card.drive[0]", "card.drive[2]", StringComparison.Ordinal)), StringComparison.Ordinal);
        Assert.Contains("has 2 bits", Refused(Names.Replace("card.drive[0]", "card.drive", StringComparison.Ordinal)), StringComparison.Ordinal);
        Assert.Contains("did you mean 'top.card.drive'?", Refused(Names.Replace("card.drive[0]", "top.card.drve", StringComparison.Ordinal)), StringComparison.Ordinal);
        Assert.Contains("no point where a command enters", Refused(""), StringComparison.Ordinal);
    }

    /// <summary>Voltages beside the levels are judged as a sweep's: 1.5 V is neither low nor high for TTL-like inputs.</summary>
    [Theory]
    [InlineData(4.2, Condition.Working)]
    [InlineData(1.5, Condition.Weak)]
    public void Voltages_that_a_dump_has_beside_the_levels_are_judged(double high, Condition condition)
    {
        var text = Vcd(Pulse(1, 100_000, 200_000))
            .Replace("$upscope $end", "$scope module volts $end $var real 64 % \\U1.18 $end $upscope $end\n$upscope $end", StringComparison.Ordinal)
            .Replace("#100012\n", string.Create(CultureInfo.InvariantCulture, $"#100012\nr{high} %\n"), StringComparison.Ordinal)
            .Replace("#200012\n", "#200012\nr0.2 %\n", StringComparison.Ordinal);
        Assert.Equal(condition, Judge("lamps.vcd", text).Sweep.Channels[0].Condition);
    }

    [Fact]
    public void The_record_is_json_that_says_nobody_drove_anything()
    {
        var (sweep, _) = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000)));
        var record = RunJson.Write(sweep, "lamps.yaml", System.Collections.Immutable.ImmutableDictionary<string, string>.Empty);
        Assert.Contains("\"limitsEnforcedBy\": \"nobody\"", record, StringComparison.Ordinal);
        Assert.Contains("\"kind\": \"recording\"", record, StringComparison.Ordinal);
    }

    [Fact]
    public void A_capture_of_ours_says_its_own_resolution()
    {
        var sweep = Judge("lamps.vcd", Vcd(Pulse(1, 100_000, 200_000))).Sweep;
        var capture = sweep.Channels[0].Capture! with { Resolution = Duration.FromMicroseconds(1) };
        var dump = CaptureVcd.Write(new("Card", "lamp-1", "adapter", sweep.Started, "9.9"), capture, exercise: null);
        var again = Judge("lamps.vcd", dump).Sweep;
        Assert.Equal(Duration.FromMicroseconds(1), again.Adapter.Resolution);
        Assert.Equal(Condition.Working, again.Channels[0].Condition);
    }
}
