using System.Collections.Immutable;
using TestRig.Bench.Diagnosing;
using TestRig.Bench.Simulation;
using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Diagnosing;
using TestRig.Core.Judging;
using TestRig.Core.Quantities;
using TestRig.Core.Scheduling;
using TestRig.Core.Tests;

namespace TestRig.Bench.Tests.Diagnosing;

/// <summary>
/// Captures drawn by hand, as no simulation made them: three channels, two common packages. What shared causes, joined nets, leads and double faults are called.
/// </summary>
public class DrawnCaptureTests
{
    private readonly Board _board = Some.BoardOf(3);

    /// <summary>Null: as on a good board.</summary>
    private ChannelResult Result(int number, Func<Exercise, Signal[]>? make = null, params (string Point, LeadState State)[] leads)
    {
        var exercise = Some.Exercise(_board.Channels[number - 1]);
        return Some.Judge(_board, exercise, Some.Capture(exercise, make?.Invoke(exercise) ?? Some.Signals(exercise, Some.GoodDelays)), leads);
    }

    private Diagnosis Diagnose(params ChannelResult[] results) => Diagnose(_board, [.. results]);

    private static Diagnosis Diagnose(Board board, ImmutableArray<ChannelResult> results)
    {
        var adapter = new SimulatedAdapter(board, FaultPlan.None, Variation.Nominal, motorSupplyOn: false);
        // No adapter pin stands 12 V: voltages are read at the first buffer only.
        var twin = BoardDiagnosis.TwinOf(board, results[0].Mode, adapter.Identity, [.. adapter.Pins.Select(pin => pin with { Analog = pin.Name[0] == 'A' })]);
        var leads = results.SelectMany(result => result.Path).Where(point => point.Lead != LeadState.Unknown)
            .Select(point => new Seen(Sight.Beside(point.TestPoint, SightKind.Lead), point.Lead == LeadState.Follows ? ChannelSights.FollowingLead : 0));
        return Diagnoser.Diagnose(board, results, twin.OutcomesOf(results.SelectMany(result => ChannelSights.Of(board, result)).Concat(leads)), twin);
    }

    private static Func<Exercise, Signal[]> Delays(params (double On, double Off)?[] delays) => exercise => Some.Signals(exercise, delays);

    /// <summary>From this stage on every point keeps the level that means "commanded".</summary>
    private static Func<Exercise, Signal[]> ActiveFrom(int stage, bool firstIdle = false) => exercise =>
    [
        .. Some.Signals(exercise, Some.GoodDelays).Select((signal, index) => index - 1 < stage ? signal
            : new Signal(signal.Name, exercise.Channel.LevelAfter(index - 1, firstIdle && index - 1 == stage ? exercise.Channel.Line.Idle : exercise.Channel.Line.Active), [])),
    ];

    [Fact]
    public void A_package_that_does_nothing_is_one_suspect()
    {
        var diagnosis = Diagnose(Result(1, Delays((0.1, 0.1), null, null, null)), Result(2, Delays((0.1, 0.1), null, null, null)), Result(3, Delays((0.1, 0.1), null, null, null)));
        var fault = Assert.Single(diagnosis.Faults);
        Assert.Equal("U4", fault.Suspects[0].Group[0]);
        Assert.Equal(FaultMode.WholePackage, fault.Suspects[0].Mode);
        Assert.Equal(3, fault.Channels.Length);
        Assert.True(fault.Suspects[0].Belief > 0.9);
    }

    [Fact]
    public void A_package_of_the_wrong_type_is_one_suspect()
    {
        var diagnosis = Diagnose(Result(1, Inverted), Result(2, Inverted), Result(3, Inverted));
        var fault = Assert.Single(diagnosis.Faults);
        Assert.Equal("U3", fault.Suspects[0].Group[0]);
        Assert.Equal(FaultMode.Inverted, fault.Suspects[0].Mode);
        Assert.Contains("Read what is printed", fault.Advice, StringComparison.Ordinal);

        static Signal[] Inverted(Exercise exercise) =>
        [
            .. Some.Signals(exercise, Some.GoodDelays).Select((signal, index) => index == 0 ? signal
                : new Signal(signal.Name, signal.Initial.Inverted(), [.. signal.Changes.Select(change => change with { Level = change.Level.Inverted() })])),
        ];
    }

    [Fact]
    public void Two_neighbours_that_hold_each_other_idle_are_bridged_while_the_third_section_works()
    {
        // U3's outputs idle low, and low wins.
        var diagnosis = Diagnose(Result(1, Delays(null, null, null, null)), Result(2, Delays(null, null, null, null)), Result(3));
        var fault = Assert.Single(diagnosis.Faults);
        Assert.Equal(["move-1", "move-2"], fault.Channels.ToArray());
        Assert.Contains(fault.Suspects[0].Group, item => item is "bridge between U3.18 and U3.16" or "bridge between J1.2 and J1.4");
        Assert.Equal(FaultMode.Bridged, fault.Suspects[0].Mode);
    }

    [Fact]
    public void Two_isolators_dead_at_nets_that_idle_high_are_not_a_bridge()
    {
        // Collectors pull down: joined, they would both move.
        var diagnosis = Diagnose(Result(1, Delays((0.1, 0.1), (0.2, 0.2), null, null)), Result(2, Delays((0.1, 0.1), (0.2, 0.2), null, null)), Result(3));
        Assert.DoesNotContain(diagnosis.Suspects, suspect => suspect.Mode == FaultMode.Bridged);
        Assert.Equal(["OK1", "OK2"], diagnosis.Faults.Select(fault => fault.Suspects[0].Group[0]).Order().ToArray());
    }

    [Fact]
    public void Nets_that_move_together_are_named_at_both_ends_of_the_bridge()
    {
        var diagnosis = Diagnose(Result(1, And(2)), Result(2, And(1)), Result(3));
        var fault = Assert.Single(diagnosis.Faults);
        Assert.Equal(["bridge between U4.16 and U4.18"], fault.Suspects[0].Group.ToArray());
        Assert.Equal(["move-1", "move-2"], fault.Channels.ToArray());
        Assert.Empty(diagnosis.Unexplained);

        // Moves the other channel's points from the second buffer on. The driver stands first in the capture: path order must not depend on that.
        Func<Exercise, Signal[]> And(int other) => exercise =>
        [
            .. Some.Signals(exercise, Some.GoodDelays),
            .. _board.Channels[other - 1].Stages.Skip(1).Reverse().Select(stage => new Signal(
                stage.OutputName, Level.High, [Some.Change((exercise.OnAt.ToSeconds() * 1e6) + 10, Level.Low), Some.Change((exercise.OffAt.ToSeconds() * 1e6) + 10, Level.High)])),
        ];
    }

    [Fact]
    public void A_weak_output_behind_a_whole_lead_is_its_parts_and_not_the_leads()
    {
        var exercise = Some.Exercise(_board.Channels[0]);
        var capture = Some.Capture(exercise, Some.Signals(exercise, Some.GoodDelays)) with
        {
            Levels = [new("U3.18", Instant.Start + exercise.OnAt + Duration.FromMilliseconds(10), new(1.5), new(1.5), new(1.5), 8, new(0.04))],
        };
        var suspect = Diagnose(Some.Judge(_board, exercise, capture, ("U3.18", LeadState.Driven)), Result(2), Result(3)).Faults[0].Suspects[0];
        Assert.Equal(["U3"], suspect.Group.ToArray());
        Assert.True(suspect.Belief > 0.9, $"{suspect.Belief}");
    }

    [Fact]
    public void A_point_that_moves_by_itself_is_no_bridge_and_stays_unexplained()
    {
        var diagnosis = Diagnose(Result(1, exercise => [.. Some.Signals(exercise, Some.GoodDelays), new("Q2.C", Level.Low, [Some.Change(100, Level.High), Some.Change(200, Level.Low)])]), Result(2), Result(3));
        Assert.DoesNotContain(diagnosis.Suspects, suspect => suspect.Mode == FaultMode.Bridged);
        Assert.Equal(["move-1"], diagnosis.Unexplained.ToArray());
    }

    [Fact]
    public void An_open_lead_in_front_of_a_dead_isolator_is_two_faults()
    {
        var diagnosis = Diagnose(Result(1, Delays(null, (0.2, 0.2), null, null), ("U3.18", LeadState.Follows)), Result(2), Result(3));
        Assert.Equal(["OK1", "lead at U3.18"], diagnosis.Faults.Select(fault => fault.Suspects[0].Group[0]).Order(StringComparer.Ordinal));
        Assert.Empty(diagnosis.Unexplained);
    }

    [Fact]
    public void A_lead_that_nothing_tells_from_its_driver_is_checked_before_the_driver_is_replaced()
    {
        // A divider keeps the lead check from telling anything.
        var diagnosis = Diagnose(Result(1, Delays((0.1, 0.1), (0.2, 0.2), (5.2, 105.2), null)), Result(2), Result(3));
        Assert.Contains("lead at Q1.C", diagnosis.Suspects.SelectMany(suspect => suspect.Group));
        Assert.Null(diagnosis.NextProbe);
    }

    [Theory]
    [InlineData(10, Condition.LeadOpen, "lead at Q1.C")]
    [InlineData(0, Condition.Dead, "Q1")]
    public void Pulses_tell_an_open_lead_from_a_dead_driver(int pulses, Condition condition, string suspect)
    {
        var channel = Some.Channel(1) with { Feedback = [new PulseFeedback(Some.Point("encoder", "D12"), 8, 12, Duration.FromMilliseconds(400))] };
        var board = Some.Board() with { Channels = [channel], Lines = [channel.Line], KeptApart = [], Parts = [.. channel.Stages.Select(stage => stage.Part)], TestPoints = [.. Some.Board().TestPoints, channel.Feedback[0].Point] };
        var exercise = Some.Exercise(channel, ExerciseMode.Motion);
        var encoder = new Signal("encoder", Level.High, [.. Enumerable.Range(1, 2 * pulses).Select(i => Some.Change(5_000 + (19_000 * i), i % 2 == 1 ? Level.Low : Level.High))]);
        var result = Some.Judge(board, exercise, Some.Capture(exercise, [.. Some.Signals(exercise, (0.1, 0.1), (0.2, 0.2), (5.2, 105.2), null), encoder]));
        Assert.Equal(condition, result.Condition);
        Assert.Equal(suspect, Diagnose(board, [result]).Faults[0].Suspects[0].Group[0]);
    }

    [Fact]
    public void A_motion_commanded_both_ways_by_a_bridge_is_crossed_and_its_encoder_is_not_blamed()
    {
        ImmutableArray<Channel> channels = [.. Enumerable.Range(1, 2).Select(number => Some.Channel(number) with
        {
            Feedback = [new PulseFeedback(Some.Point("encoder", "D12"), 8, 12, Duration.FromMilliseconds(400))],
            UndoneBy = $"move-{3 - number}",
        })];
        var board = Some.Board() with { Channels = channels, Lines = [.. channels.Select(channel => channel.Line)], KeptApart = [(channels[0].Line, channels[1].Line)], Parts = [.. channels.SelectMany(channel => channel.Stages).Select(stage => stage.Part).Distinct()], TestPoints = [.. Some.Board().TestPoints, channels[0].Feedback[0].Point] };
        var results = channels.Select((channel, index) =>
        {
            var exercise = Some.Exercise(channel, ExerciseMode.Motion);
            var driver = channels[1 - index].Stages[^1].OutputName;
            return Some.Judge(board, exercise, Some.Capture(exercise,
            [
                .. Some.Signals(exercise, Some.GoodDelays), new("encoder", Level.High, []),
                new(driver, Level.Low, [Some.Change((exercise.OnAt.ToSeconds() * 1e6) + 10, Level.High), Some.Change((exercise.OffAt.ToSeconds() * 1e6) + 120, Level.Low)]),
            ]));
        }).ToImmutableArray();
        Assert.All(results, result => Assert.Equal(Condition.Crossed, result.Condition));
        var group = Assert.Single(Diagnose(board, results).Faults).Suspects[0].Group;
        Assert.Contains("bridge between Q1.C and Q2.C", group);
        Assert.All(group, item => Assert.StartsWith("bridge between", item, StringComparison.Ordinal));
    }

    [Fact]
    public void A_bridge_to_a_channel_that_is_good_there_is_no_suspect_though_that_channel_fails_further_on()
    {
        var diagnosis = Diagnose(Result(1, Delays(null, null, null, null)), Result(2, ActiveFrom(3)), Result(3));
        Assert.Equal(2, diagnosis.Faults.Length);
        Assert.DoesNotContain(diagnosis.Suspects, suspect => suspect.Group.Any(item => item.StartsWith("bridge", StringComparison.Ordinal)));
    }

    [Fact]
    public void A_lead_clipped_one_stage_too_early_is_named()
    {
        var diagnosis = Diagnose(
            Result(1, exercise =>
            {
                var signals = Some.Signals(exercise, Some.GoodDelays);
                signals[2] = signals[1] with { Name = "U4.18" };
                return signals;
            }), Result(2), Result(3));
        Assert.Equal(["lead at U4.18"], diagnosis.Faults[0].Suspects[0].Group.ToArray());
    }

    [Fact]
    public void Channels_that_fail_together_at_one_package_are_one_suspect()
    {
        var fault = Assert.Single(Diagnose(Result(1, Delays((0.1, 0.1), null, null, null)), Result(2, Delays((0.1, 0.1), null, null, null)), Result(3, Delays((0.1, 0.1), null, null, null))).Faults);
        Assert.Equal("U4", fault.Suspects[0].Group[0]);
        Assert.Equal(["move-1", "move-2", "move-3"], fault.Suspects[0].Explains.ToArray());
        Assert.True(fault.Suspects[0].Belief > 0.9);
    }

    [Fact]
    public void Two_independent_faults_are_two_suspects()
    {
        var diagnosis = Diagnose(Result(1, Delays((0.1, 0.1), (0.2, 0.2), null, null)), Result(2, Delays((0.1, 0.1), (0.2, 0.2), (5.2, 105.2), null)), Result(3));
        Assert.Empty(diagnosis.Unexplained);
        Assert.Contains(diagnosis.Suspects, suspect => suspect.Group[0] == "OK1" && suspect.Belief > 0.5);
        Assert.Contains(diagnosis.Suspects, suspect => suspect.Group.Contains("Q2") && suspect.Belief > 0.5);
    }

    /// <summary>The delays on and off of the two buffers, the isolator and the driver, in microseconds.</summary>
    [Theory]
    [InlineData("OK1", 5.2, 105.2, false)]
    [InlineData("OK1", 15.2, 315.2, true)]
    public void A_late_isolator_is_named_and_one_in_time_is_not(string item, double on, double off, bool named)
    {
        var diagnosis = Diagnose(Result(1, Delays((0.1, 0.1), (0.2, 0.2), (on, off), (on + 5, off + 15))), Result(2), Result(3));
        Assert.Equal(named, diagnosis.Suspects.Any(suspect => suspect.Group[0] == item));
    }

    [Fact]
    public void A_dead_isolator_is_named_and_the_stages_in_front_of_it_are_not()
    {
        var suspect = Diagnose(Result(1, Delays((0.1, 0.1), (0.2, 0.2), null, null)), Result(2), Result(3)).Faults[0].Suspects[0];
        Assert.Equal("OK1", suspect.Group[0]);
        Assert.DoesNotContain("U3", suspect.Group);
        Assert.True(suspect.Belief > 0.9);
    }

    [Fact]
    public void A_silent_point_in_front_of_one_that_answers_has_an_open_lead() => Assert.Equal(
        "lead at U4.18",
        Diagnose(Result(1, Delays((0.1, 0.1), null, (5.2, 105.2), (10.2, 120.2))), Result(2), Result(3)).Faults[0].Suspects[0].Group[0]);
}
