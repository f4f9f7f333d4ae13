using System.Collections.Immutable;
using TestRig.Bench.Files;
using TestRig.Bench.Learning;
using TestRig.Bench.Tests.Files;
using TestRig.Bench.Tests.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Bench.Tests.Learning;

/// <summary>Where the windows are written, and that nothing else is touched.</summary>
public class WindowProposalTests
{
    private static readonly ToleranceAim _aim = new(0.99, 0.95);

    private static readonly string _text = File.ReadAllText(Repository.DemoProfile);

    private static readonly Channel _channel = SimulatedRun.Dome.Channels.Single(channel => channel.Name == "shutter-open");

    /// <summary>Limits that are given, so that what is written can be told by hand: 2.346 to 7.351 µs becomes 2.34..7.36 us.</summary>
    private static LearnedWindow Window(int stage, Level output, long earliest = 2_346, long latest = 7_351) => new(
        _channel.Stages[stage], output, Duration.FromNanoseconds(earliest), Duration.FromNanoseconds(latest),
        new(ToleranceMethod.Exact, 30, 0, 0), _aim, Duration.FromMicroseconds(1));

    private const string Because = "'learned here: the same in all 30 repeats, so that no spread is known, widened by the ±1 µs of measuring'";

    [Fact]
    public void Windows_are_added_below_the_channel_and_no_other_line_changes()
    {
        var proposal = Propose(_text, Window(2, Level.Low), Window(2, Level.High, 86_712, 94_301));
        string[] added =
        [
            "    expect:",
            "      OK3.5:",
            "        falls: 2.34..7.36 us",
            "        rises: 86.7..94.4 us",
            $"        because: {Because}",
        ];
        var lines = _text.Split('\n').ToList();
        // Behind the last line of the channel, which is its encoder's.
        lines.InsertRange(lines.FindIndex(line => line.Contains("shutter-encoder: { pulses: 6..10", StringComparison.Ordinal)) + 1, added);
        Assert.Equal(string.Join('\n', lines), proposal.Text);
        Assert.Equal(added.Select(line => $"+{line}"), proposal.Difference.Split('\n').Where(line => line.StartsWith('+')).Skip(1));
        Assert.DoesNotContain(proposal.Difference.Split('\n').Skip(2), line => line.StartsWith('-'));
    }

    [Fact]
    public void The_new_profile_has_the_windows_and_explains_them_as_overrides()
    {
        var proposal = Propose(_text, Window(2, Level.Low));
        var board = ProfileLoader.LoadText(proposal.Text, Repository.DemoProfile, Repository.PartsFolder).Board!;
        var stage = board.Channels.Single(channel => channel.Name == _channel.Name).Stages[2];
        Assert.Equal((Duration.FromNanoseconds(2_340), Duration.FromNanoseconds(7_360)), (stage.Fall.Earliest, stage.Fall.Latest));
        Assert.StartsWith("override: learned here", ProfileExplanation.Of(board).Channels.Single(channel => channel.Channel.Name == _channel.Name).Points
            .Single(point => point.Point == "OK3.5").ToActive!.Window.Origin, StringComparison.Ordinal);
        Assert.Equal(_channel.Stages[2].Rise, stage.Rise);
    }

    [Theory]
    [InlineData("    expect:\n      OK3.5: { falls: 0..25 us, because: measured once } # a comment\n", "    expect:\n      OK3.5: { falls: 2.34..7.36 us, because: " + Because + " } # a comment\n")]
    [InlineData("    expect: { OK3.5: { rises: 0..120 us, because: measured once } }\n", "    expect: { OK3.5: { rises: 0..120 us, because: 'measured once; falls learned here: the same in all 30 repeats, so that no spread is known, widened by the ±1 µs of measuring', falls: 2.34..7.36 us } }\n")]
    [InlineData("    expect: { Q3.C: { rises: 0..120 us, because: measured once } }\n", "    expect: { Q3.C: { rises: 0..120 us, because: measured once }, OK3.5: { falls: 2.34..7.36 us, because: " + Because + " } }\n")]
    [InlineData("    expect:\n      Q3.C:\n        rises: 0..120 us\n        because: >-\n          measured\n          once\n", "    expect:\n      Q3.C:\n        rises: 0..120 us\n        because: >-\n          measured\n          once\n      OK3.5:\n        falls: 2.34..7.36 us\n        because: " + Because + "\n")]
    [InlineData("    expect:\n      OK3.5:\n        because: >-\n          measured\n          once\n        falls: 0..25 us\n", "    expect:\n      OK3.5:\n        because: " + Because + "\n        falls: 2.34..7.36 us\n")]
    public void An_override_that_is_there_is_amended_in_its_own_form(string present, string expected)
    {
        const string last = "      shutter-encoder: { pulses: 6..10, within: 400 ms }\n";
        var at = _text.IndexOf(last, StringComparison.Ordinal) + last.Length;
        Assert.Equal(_text.Insert(at, expected), Propose(_text.Insert(at, present), Window(2, Level.Low)).Text);
    }

    [Fact]
    public void A_channel_in_braces_gets_its_windows_in_braces()
    {
        var start = _text.IndexOf("  shutter-open:\n", StringComparison.Ordinal);
        var end = _text.IndexOf("  shutter-close:\n", start, StringComparison.Ordinal);
        const string channel = "  shutter-open: { drive: shutter-open at J1.6, path: [ U3 6>14, U4 6>14, OK3, Q3 ], exercise: { motion-on: 400 ms }, undone-by: shutter-close }\n";
        var text = _text[..start] + channel + _text[end..];
        Assert.Equal(
            text.Replace("undone-by: shutter-close }", $"undone-by: shutter-close, expect: {{ OK3.5: {{ falls: 2.34..7.36 us, because: {Because} }} }} }}", StringComparison.Ordinal),
            Propose(text, Window(2, Level.Low)).Text);
    }

    [Fact]
    public void A_contact_keeps_its_line_and_gets_its_reason_above_it()
    {
        var rotate = SimulatedRun.Dome.Channels.Single(channel => channel.Name == "rotate-left");
        var contact = rotate.Feedback.OfType<SwitchFeedback>().Single();
        var limits = new ToleranceLimits(ToleranceMethod.Exact, 300, null, 0);
        var learned = new LearnedChannel(rotate, rotate, [], [new(contact, 6, null, limits, _aim, Duration.Zero), new(contact, null, Duration.FromMicroseconds(2_104), limits, _aim, Duration.Zero)], []);
        var proposal = WindowProposal.Of(_text, Repository.DemoProfile, Repository.PartsFolder, [learned], "here");
        Assert.Empty(proposal.Errors);
        var words = "learned here: the same in all 300 repeats, so that no spread is known";
        Assert.Equal(
            _text.Replace(
                "      home-switch: { bounces: ..10, settles-within: 5 ms }\n",
                $"      # bounces: {words}\n      # settles-within: {words}\n      home-switch: {{ bounces: ..6, settles-within: 2.11 ms }}\n", StringComparison.Ordinal),
            proposal.Text);
    }

    [Fact]
    public void Lines_that_end_as_on_Windows_go_on_doing_so()
    {
        var text = _text.ReplaceLineEndings("\r\n");
        Assert.Equal(Propose(_text, Window(2, Level.Low)).Text.ReplaceLineEndings("\r\n"), Propose(text, Window(2, Level.Low)).Text);
    }

    private static WindowProposal Propose(string text, params ImmutableArray<LearnedWindow> windows)
    {
        var proposal = WindowProposal.Of(text, Repository.DemoProfile, Repository.PartsFolder, [new(_channel, _channel, windows, [], [])], "here");
        Assert.Empty(proposal.Errors);
        return proposal;
    }
}
