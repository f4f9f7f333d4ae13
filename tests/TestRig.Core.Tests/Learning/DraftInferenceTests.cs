using System.Collections.Immutable;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Learning;
using TestRig.Core.Quantities;

namespace TestRig.Core.Tests.Learning;

/// <summary>
/// Captures made by hand: the line goes low at 1000 µs and high again at 5000 µs, each change known to ±1 µs. Two points are told apart where their changes are more than 2 µs apart; the clock is exact.
/// </summary>
public class DraftInferenceTests
{
    private const int On = 1_000;
    private const int Off = 5_000;

    private static readonly Line _one = Line("one", "D22");

    private static readonly Line _other = Line("other", "D23");

    [Fact]
    public void Who_changes_later_by_more_than_can_be_meant_is_behind_and_polarity_is_that_of_the_line()
    {
        var findings = Infer(["late", "early"], Pulse(_one, ("early", Level.Low, [On + 5, Off + 5]), ("late", Level.High, [On + 8, Off + 8])));
        var chain = Chain(findings);
        Assert.Equal([("early", false), ("late", true)], chain.Answers.Select(answer => (answer.Point, answer.Follows)));
        Assert.True(chain.IsBefore("early", "late"));
        Assert.False(chain.IsBefore("late", "early"));
        Assert.Empty(findings.Questions);
        // From the line to the first, and from the first to the second: 5 ± 2 µs and 3 ± 2 µs, at most.
        Assert.Equal([7L, 5L], chain.Latest.Select(latest => latest.On.Picoseconds / 1_000_000));
        Assert.Equal(Duration.FromMicroseconds(8), chain.Answers[1].Off.Value);
    }

    [Theory]
    [InlineData(2, true)] // at the limit of what may be meant, not beyond it
    [InlineData(3, false)]
    public void What_the_intervals_leave_open_is_asked(int microsecondsApart, bool asked)
    {
        var findings = Infer(["a", "b"], Pulse(_one, ("a", Level.Low, [On + 5, Off + 5]), ("b", Level.Low, [On + 5 + microsecondsApart, Off + 5])));
        Assert.Equal(asked, findings.Questions.Any(question => question.Topic == DraftTopic.Order && question.Subjects.SequenceEqual(["one", "a", "b"])));
        Assert.Equal(!asked, Chain(findings).IsBefore("a", "b"));
    }

    [Fact]
    public void Edges_that_contradict_each_other_are_no_chain()
    {
        var findings = Infer(["a", "b"], Pulse(_one, ("a", Level.Low, [On + 5, Off + 50]), ("b", Level.Low, [On + 50, Off + 5])));
        Assert.Equal(("a", "b"), Assert.Single(Chain(findings).Crossed));
        Assert.False(Chain(findings).IsBefore("a", "b") || Chain(findings).IsBefore("b", "a"));
        Assert.Contains("not one behind the other", Assert.Single(findings.Questions).Words, StringComparison.Ordinal);
    }

    [Fact]
    public void A_point_that_answers_two_lines_belongs_to_neither_chain()
    {
        var findings = Infer(
            ["own", "both"],
            Pulse(_one, ("own", Level.Low, [On + 5, Off + 5]), ("both", Level.Low, [On + 9, Off + 9])),
            Pulse(_other, ("own", Level.Low, []), ("both", Level.Low, [On + 9, Off + 9])));
        Assert.Equal(["own"], Chain(findings).Answers.Select(answer => answer.Point));
        Assert.Equal([("both", "one"), ("both", "other")], findings.Shared.Select(answer => (answer.Point, answer.Line.Name)));
        Assert.Equal(["both", "one", "other"], Assert.Single(findings.Questions, question => question.Topic == DraftTopic.Shared).Subjects.AsEnumerable());
    }

    [Fact]
    public void A_point_that_answers_only_sometimes_is_asked_for_and_one_that_moves_by_itself_too()
    {
        var findings = Infer(
            ["sometimes", "restless", "still"],
            Pulse(_one, ("sometimes", Level.Low, [On + 5, Off + 5]), ("restless", Level.Low, [300]), ("still", Level.High, [])),
            Pulse(_one, ("sometimes", Level.Low, []), ("restless", Level.High, []), ("still", Level.High, [])));
        Assert.Empty(Chain(findings).Answers);
        Assert.Equal(["sometimes", "restless"], findings.Questions.Where(question => question.Topic == DraftTopic.Unsteady).SelectMany(question => question.Subjects));
        Assert.Contains(findings.Questions, question => question.Words.StartsWith("restless changes by itself", StringComparison.Ordinal));
        Assert.Contains(findings.Questions, question => question.Words.Contains("in 1 of 2 pulses on 'one'", StringComparison.Ordinal));
        Assert.Equal(("still", Level.High), Assert.Single(findings.Quiet));
    }

    [Fact]
    public void A_line_that_nothing_answers_is_told_apart_from_one_that_does_not_follow_its_command()
    {
        var silent = Infer(["still"], Pulse(_one, ("still", Level.Low, [])));
        Assert.StartsWith("Nothing answers line 'one'.", Assert.Single(silent.Questions, question => question.Topic == DraftTopic.Silent).Words, StringComparison.Ordinal);
        var held = Pulse(_one, ("still", Level.Low, []));
        held = held with { Capture = held.Capture with { Signals = [.. held.Capture.Signals.Select(signal => signal.Name == "one.pin" ? signal with { Changes = [] } : signal)] } };
        Assert.StartsWith("Line 'one' itself was not seen to follow", Assert.Single(Infer(["still"], held).Questions, question => question.Topic == DraftTopic.Silent).Words, StringComparison.Ordinal);
    }

    [Fact]
    public void A_point_that_bounces_answers_and_is_asked_for()
    {
        var findings = Infer(["contact"], Pulse(_one, ("contact", Level.High, [On + 100, On + 150, On + 300, Off + 100])));
        var answer = Assert.Single(Chain(findings).Answers);
        Assert.Equal((2, Duration.FromMicroseconds(200), true), (answer.Bounces, answer.Settle, answer.Follows));
        Assert.Contains("changes up to 3 times within 200 µs", Assert.Single(findings.Questions).Words, StringComparison.Ordinal);
    }

    /// <summary>Success run: 6 of 6 show 0.05^(1/6) = 60.7 % (ln 0.05 = −2.99573; e^(−0.499289)).</summary>
    [Fact]
    public void How_sure_an_answer_is_grows_with_the_pulses() =>
        Assert.Equal(0.60696, Chain(Infer(["a"], [.. Enumerable.Repeat(Pulse(_one, ("a", Level.Low, [On + 5, Off + 5])), 6)])).Answers[0].AtLeast, 0.0001);

    private static DraftFindings Infer(string[] points, params ImmutableArray<DraftPulse> pulses) =>
        new DraftInference([.. pulses.Select(pulse => pulse.Line).Distinct()], [.. points], Duration.Zero).Of(pulses);

    private static DraftChain Chain(DraftFindings findings) => findings.Chains.Single(chain => chain.Line == _one);

    private static Line Line(string name, string pin) => new(name, pin, Level.High, true, Duration.FromMilliseconds(500), Duration.Zero, null);

    private static DraftPulse Pulse(Line line, params (string Point, Level Initial, int[] Microseconds)[] points)
    {
        ImmutableArray<Signal> signals = [Signal($"{line.Name}.pin", Level.High, [On, Off]), .. points.Select(point => Signal(point.Point, point.Initial, point.Microseconds))];
        var capture = new Capture(Duration.FromNanoseconds(100), Duration.FromMicroseconds(2), 0, At(10_000), signals, [], [], new(CaptureOutcome.Complete, null));
        return new(line, $"{line.Name}.pin", Duration.FromMicroseconds(On - 1), Duration.FromMicroseconds(Off - 1), capture);
    }

    private static Signal Signal(string name, Level initial, int[] microseconds)
    {
        var level = initial;
        return new(name, initial, [.. microseconds.Select(at => new Change(At(at - 1), At(at + 1), level = level.Inverted()))]);
    }

    private static Instant At(int microseconds) => Instant.Start + Duration.FromMicroseconds(microseconds);
}
