using TestRig.Core.Trials;

namespace TestRig.Core.Tests.Trials;

public class PartTrialTests
{
    [Fact]
    public void A_part_within_all_limits_conforms_and_is_under_no_suspicion()
    {
        var trial = SomeSocket.Trial(1, 0.7);
        Assert.Equal(TrialVerdict.Conforms, trial.Verdict);
        Assert.Empty(trial.Suspicions);
    }

    /// <summary>The type has 20 % at least; another one 10 %, of which nothing else differs.</summary>
    [Fact]
    public void A_weak_part_that_fits_another_type_is_suspected_to_be_one()
    {
        var other = SomeSocket.Type with { Name = "lower grade", TransferRatioMinimum = 0.1 };
        var trial = SomeSocket.Trial(1, 0.13, delays: SomeSocket.Delays(on: 20e-6, off: 40e-6), others: [other, SomeSocket.Type with { Name = "darker", TransferRatioMinimum = 0.9 }]);
        Assert.Equal(TrialVerdict.Violates, trial.Verdict);
        Assert.Contains("lower grade", Assert.Single(trial.Suspicions), StringComparison.Ordinal);
        Assert.DoesNotContain("darker", trial.Suspicions[0], StringComparison.Ordinal);
    }

    [Fact]
    public void A_weak_part_that_fits_no_type_is_only_weak() => Assert.Empty(SomeSocket.Trial(1, 0.05, others: SomeSocket.Type with { Name = "other" }).Suspicions);

    [Theory]
    [InlineData(1.45, true)]
    [InlineData(1.25, false)]
    public void An_LED_far_from_the_typical_voltage_is_of_another_material(double forward, bool suspected) =>
        Assert.Equal(suspected, SomeSocket.Trial(1, 0.7, forward).Suspicions.Any(words => words.Contains("another material", StringComparison.Ordinal)));

    [Fact]
    public void Twice_the_typical_ratio_and_more_is_another_grade() => Assert.Contains("higher grade", Assert.Single(SomeSocket.Trial(1, 1.6).Suspicions), StringComparison.Ordinal);

    [Fact]
    public void A_part_that_leaks_violates_by_that_alone()
    {
        var trial = SomeSocket.Trial(1, 0.7, dark: 0.4);
        Assert.Equal([TrialFigure.Leakage], trial.Figures.Where(figure => figure.Verdict == TrialVerdict.Violates).Select(figure => figure.Figure));
    }

    /// <summary>The sheet's ratio is for another current than the socket's 10 mA.</summary>
    [Fact]
    public void A_ratio_at_another_current_than_the_sheets_is_not_judged()
    {
        var type = SomeSocket.Type with { TestCurrent = new(0.005) };
        var socket = SomeSocket.With();
        var trial = PartTrial.Of(1, socket, type, [], SocketFigures.Of(socket, SomeSocket.Readings(0.05), SomeSocket.Reading(0.001), type), SomeSocket.Delays());
        Assert.Equal(TrialVerdict.NotResolved, trial[TrialFigure.TransferRatio].Verdict);
        Assert.Contains("5 mA", trial[TrialFigure.TransferRatio].Because, StringComparison.Ordinal);
    }

    [Fact]
    public void An_emitter_that_does_not_follow_though_there_is_current_violates()
    {
        var trial = SomeSocket.Trial(1, 0.7, delays: new(null, null, IsSilent: true, "stayed low"));
        Assert.Equal((TrialVerdict.Violates, TrialVerdict.Violates), (trial[TrialFigure.OnDelay].Verdict, trial[TrialFigure.OffDelay].Verdict));
    }

    [Fact]
    public void Delays_that_were_not_measured_are_not_resolved() =>
        Assert.Equal(TrialVerdict.NotResolved, SomeSocket.Trial(1, 0.7, delays: new(null, null, IsSilent: false, "stopped")).Verdict);

    /// <summary>1 % of 10 mA never moves the delay load: the ratio says what is wrong, the delays say nothing.</summary>
    [Fact]
    public void A_dead_part_is_dead_by_its_ratio()
    {
        var trial = SomeSocket.Trial(1, 0.01, delays: new(null, null, IsSilent: true, "stayed low"));
        Assert.Equal([TrialFigure.TransferRatio], trial.Figures.Where(figure => figure.Verdict == TrialVerdict.Violates).Select(figure => figure.Figure));
    }
}
