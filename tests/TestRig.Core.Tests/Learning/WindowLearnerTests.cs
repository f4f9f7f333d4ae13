using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Judging;
using TestRig.Core.Learning;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Tests.Learning;

/// <summary>Windows from delays that are known, with limits computed by hand.</summary>
public class WindowLearnerTests
{
    /// <summary>Width of each change's interval: half of it at either end makes ±2 µs of a delay.</summary>
    private static readonly Duration _look = Duration.FromMicroseconds(2);

    private static readonly Channel _channel = Some.Board().Channels[0];

    private static readonly WindowLearner _learner = new(new(0.95, 0.95), _look);

    /// <summary>
    /// By hand: 101 to 110 µs have mean 105.5 µs and s = √(82.5 / 9) = 3.02765 µs; k = 3.3935 (ISO 16269-6:2014 Annex F, 95/95, n = 10) makes ±10.2743 µs, and measuring ±2 µs: 93.2257 to 117.7743 µs.
    /// </summary>
    [Fact]
    public void Delays_that_may_be_normal_get_normal_limits_widened_by_what_measuring_leaves_open()
    {
        var learned = _learner.Learn([.. Enumerable.Range(101, 10).Select(delay => Round(delay))], _channel);
        var window = Assert.Single(learned.Windows);
        Assert.Equal(("OK1.5", Level.High, ToleranceMethod.Normal), (window.Stage.OutputName, window.Output, window.Limits.Method));
        Assert.Equal(93.2257, window.Earliest.ToSeconds() * 1e6, 0.002);
        Assert.Equal(117.7743, window.Latest.ToSeconds() * 1e6, 0.002);
        Assert.False(window.IsWiderSomewhere);
        Assert.Contains("normal limits of 10 repeats, k = 3.39", window.Method, StringComparison.Ordinal);
        Assert.Contains("95 % with 95 % confidence, widened by the ±2 µs", window.Method, StringComparison.Ordinal);
    }

    [Fact]
    public void A_delay_that_repeats_exactly_is_its_own_window_and_says_that_no_spread_is_known()
    {
        var window = Assert.Single(_learner.Learn([.. Enumerable.Repeat(0, 10).Select(_ => Round(100))], _channel).Windows);
        Assert.Equal((Duration.FromMicroseconds(98), Duration.FromMicroseconds(102)), (window.Earliest, window.Latest));
        Assert.Contains("the same in all 10 repeats, so that no spread is known", window.Method, StringComparison.Ordinal);
    }

    /// <summary>Two crowds 60 µs apart are not normal; 95/95 without knowing the distribution takes 93 (EnvStats tolIntNparN.Rd).</summary>
    [Fact]
    public void Too_few_delays_that_are_not_normal_propose_nothing_and_say_how_many_it_takes()
    {
        var learned = _learner.Learn([.. Enumerable.Range(0, 40).Select(i => Round(i % 8 == 0 ? 130 : 70))], _channel);
        Assert.Empty(learned.Windows);
        Assert.Contains("40 repeats are too few: they are not normal, and without that 93 are needed", Reason(learned, "OK1.5 rises"), StringComparison.Ordinal);
        // With the 93, the window is from the least to the greatest, and ±2 µs.
        var window = Assert.Single(_learner.Learn([.. Enumerable.Range(0, 93).Select(i => Round(i % 8 == 0 ? 130 : 70))], _channel).Windows);
        Assert.Equal((ToleranceMethod.OrderStatistic, 68L, 132L), (window.Limits.Method, window.Earliest.Picoseconds / 1_000_000, window.Latest.Picoseconds / 1_000_000));
    }

    [Fact]
    public void A_delay_that_is_not_resolved_proposes_nothing_and_says_why()
    {
        var learned = _learner.Learn([.. Enumerable.Range(101, 10).Select(delay => Round(delay, delay == 105 ? Timing.NotResolved : Timing.Conforms))], _channel);
        Assert.Empty(learned.Windows);
        var kept = learned.NotLearned.Single(kept => kept.What.StartsWith("OK1.5 rises", StringComparison.Ordinal));
        Assert.StartsWith("not resolved", kept.Reason, StringComparison.Ordinal);
        Assert.Contains("105 µs ± 2 µs", kept.What, StringComparison.Ordinal);
        Assert.Equal("nothing watches it: clip a lead there", Reason(learned, "U3.18 rises"));
    }

    [Fact]
    public void A_delay_across_two_stages_is_no_delay_of_one()
    {
        var learned = _learner.Learn([.. Enumerable.Range(101, 10).Select(delay => Round(delay, cause: "U3.18"))], _channel);
        Assert.Empty(learned.Windows);
        Assert.Contains("counted from U3.18, across other stages: clip a lead to U4.18", Reason(learned, "OK1.5 rises"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_fault_in_one_repeat_is_enough_to_learn_nothing()
    {
        var rounds = Enumerable.Range(101, 10).Select(delay => Round(delay)).ToList();
        rounds[7] = rounds[7] with { Condition = Condition.Slow, Summary = "OK1.5 is late." };
        var learned = _learner.Learn([.. rounds], _channel);
        Assert.Contains("would call its fault good: OK1.5 is late.", learned.Refusal, StringComparison.Ordinal);
        Assert.Empty(learned.Windows);
    }

    [Fact]
    public void A_sibling_gets_the_windows_at_its_own_outputs_and_another_kind_of_channel_none()
    {
        ImmutableArray<ChannelResult> rounds = [.. Enumerable.Range(101, 10).Select(delay => Round(delay))];
        var sibling = Some.Board().Channels[1];
        Assert.Equal("OK2.5", Assert.Single(_learner.Learn(rounds, sibling).Windows).Stage.OutputName);
        var shorter = sibling with { Stages = sibling.Stages[..3] };
        Assert.Contains("has 4 stages and 'move-2' 3", _learner.Learn(rounds, shorter).Refusal, StringComparison.Ordinal);
        var isolator = (IsolatorPart)sibling.Stages[2].Part;
        var loaded = sibling with { Stages = sibling.Stages.SetItem(2, sibling.Stages[2] with { Part = isolator with { Load = new(4_700) } }) };
        Assert.Contains("not the same in the same circuit", _learner.Learn(rounds, loaded).Refusal, StringComparison.Ordinal);
    }

    /// <summary>
    /// By hand: settle times of 101 to 110 µs have mean 105.5 µs and s = 3.02765 µs; one-sided k = 2.911 (Montgomery and Runger, 7th ed., Table XII, 95/95, n = 10) and a change's ±2 µs make 116.31 µs.
    /// Counts of bounces are taken for no distribution: 59 are needed for 95/95 (EnvStats tolIntNparN.Rd).
    /// </summary>
    [Theory]
    [InlineData(10, null)]
    [InlineData(60, 4)]
    public void A_contact_gets_upper_limits_for_what_was_seen_often_enough(int number, int? bounces)
    {
        var contact = new SwitchFeedback(Some.Point("home", "D40"), 10, Duration.FromMilliseconds(5));
        var channel = _channel with { Feedback = [contact] };
        ChannelResult Settling(int i) => Round(100) with
        {
            Channel = channel,
            Findings =
            [
                new Finding("home", null, Expectation.Settles, Verdict.Conforms, null, null, null, null, null, null, null, null, i % 5, null, null, "")
                { SettleTime = Duration.FromMicroseconds(101 + (i % 10)) },
            ],
        };
        var learned = _learner.Learn([.. Enumerable.Range(0, number).Select(Settling)], channel);
        var settles = learned.Contacts.Single(limit => limit.SettlesWithin is not null);
        if (number == 10)
            Assert.Equal(116.31, settles.SettlesWithin!.Value.ToSeconds() * 1e6, 0.01);
        Assert.Equal(bounces, learned.Contacts.SingleOrDefault(limit => limit.Bounces is not null)?.Bounces);
        if (bounces is null)
            Assert.Contains("10 repeats are too few: they are not normal, and without that 59 are needed", Reason(learned, "home bounces"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_contact_that_nothing_actuated_is_left_as_it_is()
    {
        var channel = _channel with { Feedback = [new SwitchFeedback(Some.Point("home", "D40"), 10, Duration.FromMilliseconds(5))] };
        var learned = _learner.Learn([.. Enumerable.Range(0, 10).Select(_ => Round(100) with { Channel = channel })], channel);
        Assert.Empty(learned.Contacts);
        Assert.StartsWith("it was not actuated", Reason(learned, "home bounces, settles"), StringComparison.Ordinal);
    }

    private static string Reason(LearnedChannel learned, string what) => learned.NotLearned.Single(kept => kept.What == what).Reason;

    /// <summary>One repeat in which the channel worked and the isolator's rise was measured.</summary>
    private static ChannelResult Round(int microseconds, Timing timing = Timing.Conforms, string cause = "U4.18")
    {
        var begins = Change(1_000, Level.High);
        var delay = MeasuredDelay.Between(begins, Change(1_000 + microseconds, Level.High), 0);
        var stage = _channel.Stages[2];
        var finding = new Finding(
            stage.OutputName, 2, Expectation.Rises, Verdict.Conforms, timing, cause, begins.Estimate, null, delay.Value, stage.Rise.Earliest, stage.Rise.Latest, delay.StandardUncertainty, 0, null, null, "")
        { Measured = delay };
        return new(_channel, Condition.Working, [finding], null, [], null, "");
    }

    private static Change Change(int microseconds, Level level)
    {
        var middle = Instant.Start + Duration.FromMicroseconds(microseconds);
        var half = Duration.FromMicroseconds(1);
        return new(middle - half, middle + half, level);
    }
}
