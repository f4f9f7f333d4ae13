using System.Collections.Immutable;
using System.Globalization;
using TestRig.Core.Boards;
using TestRig.Core.Judging;
using TestRig.Core.Measuring;
using TestRig.Core.Quantities;
using TestRig.Core.Statistics;

namespace TestRig.Core.Learning;

/// <summary>
/// Proposes the windows of a channel from delays measured on a good one. Only delays that were seen to keep their windows count: what the adapter cannot tell would make windows of the adapter and not
/// of the part. Every proposal has room for each delay that it was made from, with all that is not known of it, so that the same captures conform.
/// </summary>
/// <param name="resolution">What a settle time may be wrong by: the width of a change's interval.</param>
public sealed class WindowLearner(ToleranceAim aim, Duration resolution)
{
    /// <param name="rounds">What each repeat found of one and the same channel; at least one.</param>
    /// <param name="target">The channel that the windows are for: the measured one, or one built like it.</param>
    public LearnedChannel Learn(ImmutableArray<ChannelResult> rounds, Channel target)
    {
        ArgumentOutOfRangeException.ThrowIfZero(rounds.Length);
        var measured = rounds[0].Channel;
        var nothing = new LearnedChannel(target, measured, [], [], []);
        if (rounds.FirstOrDefault(round => round.Condition != Condition.Working) is { } bad)
        {
            var why = bad.IsFaulty ? "It is not a good one, and a window learned from it would call its fault good" : "It could not be judged";
            return nothing with { Refusal = $"{why}: {bad.Summary}" };
        }
        if (Difference(measured, target) is { } difference)
            return nothing with { Refusal = difference };

        var windows = ImmutableArray.CreateBuilder<LearnedWindow>();
        var contacts = ImmutableArray.CreateBuilder<LearnedContact>();
        var not = ImmutableArray.CreateBuilder<NotLearned>();
        for (var stage = 0; stage < target.Stages.Length; stage++)
        {
            foreach (var output in (ReadOnlySpan<Level>)[Level.High, Level.Low])
            {
                if (Window(rounds, target.Stages[stage], stage, output, out var reason) is { } window)
                    windows.Add(window);
                else
                    not.Add(reason with { What = $"{target.Stages[stage].OutputName} {output.ArrivalWord()}{reason.What}" });
            }
        }
        foreach (var feedback in target == measured ? target.Feedback.OfType<SwitchFeedback>() : [])
            Contact(rounds, feedback, contacts, not);
        return new(target, measured, windows.ToImmutable(), contacts.ToImmutable(), not.ToImmutable());
    }

    /// <summary>What keeps the delays of one channel from telling those of another; null when nothing does.</summary>
    public static string? Difference(Channel measured, Channel target)
    {
        if (measured.Stages.Length != target.Stages.Length)
            return string.Create(CultureInfo.InvariantCulture, $"'{measured.Name}' has {measured.Stages.Length} stages and '{target.Name}' {target.Stages.Length}: the delays of one do not tell those of the other. Name a channel that is built like '{target.Name}'.");
        if (measured.Line.Idle != target.Line.Idle)
            return $"Line '{measured.Line.Name}' idles {measured.Line.Idle.Word()} and '{target.Line.Name}' {target.Line.Idle.Word()}: their stages do not do the same. Name a channel that is built like '{target.Name}'.";
        foreach (var (one, other) in measured.Stages.Zip(target.Stages))
        {
            if (one.Part.Type.Name != other.Part.Type.Name || one.Inverting != other.Inverting || Circuit(one.Part) != Circuit(other.Part))
                return $"{one.Name} of '{measured.Name}' and {other.Name} of '{target.Name}' are not the same in the same circuit: the delays of one do not tell those of the other. Name a channel that is built like '{target.Name}'.";
        }
        return null;
    }

    /// <summary>What a part's delay depends on, beside its type.</summary>
    private static string Circuit(Part part) => part switch
    {
        IsolatorPart isolator => $"{isolator.LedResistor} {isolator.Load} {isolator.TakenAtCollector} {isolator.LedSupply.Nominal} {isolator.OutputSupply.Nominal}",
        DriverPart driver => $"{driver.Load} {driver.Supply.Nominal}",
        RelayPart relay => $"{relay.PullUp} {relay.ContactSupply.Nominal}",
        _ => "",
    };

    private LearnedWindow? Window(ImmutableArray<ChannelResult> rounds, Stage stage, int index, Level output, out NotLearned reason)
    {
        var expected = output == Level.High ? Expectation.Rises : Expectation.Falls;
        var findings = rounds.Select(round => round.Findings.FirstOrDefault(finding => finding.Stage == index && finding.Expected == expected)).OfType<Finding>().ToList();
        var front = index == 0 ? rounds[0].Channel.DrivenAt.Name : rounds[0].Channel.Stages[index - 1].OutputName;
        var why = findings.Count < rounds.Length ? "nothing watches it: clip a lead there"
            : findings.Find(finding => finding.Cause is { } cause && cause != front) is { } across ? $"its delay is counted from {across.Cause}, across other stages: clip a lead to {front}"
            : findings.Exists(finding => finding.Measured is null) ? "its delay was not measured in every repeat"
            : null;
        reason = why is not null ? new("", why)
            : findings.Find(finding => finding.Timing != Timing.Conforms) is { } coarse ? NotResolved(coarse)
            : new("", "");
        if (reason.Reason.Length > 0)
            return null;
        MeasuredDelay[] delays = [.. findings.Select(finding => finding.Measured!)];
        var uncertainty = delays.Max(delay => delay.Guard);
        var limits = ToleranceLimits.TwoSided([.. delays.Select(delay => (double)delay.Value.Picoseconds)], uncertainty.Picoseconds, aim);
        if (limits is not { Lower: { } lower, Upper: { } upper })
        {
            reason = new("", LimitWords.Of(limits, aim, Duration.Zero));
            return null;
        }
        var earliest = Duration.Min(new Duration((long)Math.Floor(lower)) - uncertainty, delays.Min(delay => delay.Value - delay.Guard));
        var latest = Duration.Max(new Duration((long)Math.Ceiling(upper)) + uncertainty, delays.Max(delay => delay.Value + delay.Guard));
        return new(stage, output, Duration.Max(earliest, Duration.Zero), latest, limits, aim, uncertainty);
    }

    private static NotLearned NotResolved(Finding finding) => new(
        $" ({finding.Delay} ± {finding.Measured!.Guard} against {finding.Earliest} to {finding.Latest})",
        "not resolved: that is more than this adapter can tell, and a window from it would be the adapter's");

    private void Contact(ImmutableArray<ChannelResult> rounds, SwitchFeedback feedback, ImmutableArray<LearnedContact>.Builder contacts, ImmutableArray<NotLearned>.Builder not)
    {
        var name = feedback.Point.Name;
        var seen = rounds.SelectMany(round => round.Findings).Where(finding => finding is { Expected: Expectation.Settles, Verdict: Verdict.Conforms, SettleTime: not null } && finding.TestPoint == name).ToList();
        if (seen.Count == 0)
        {
            not.Add(new($"{name} bounces, settles", "it was not actuated: that takes --allow-motion, and an axis that comes by"));
            return;
        }
        var bounces = ToleranceLimits.AboveCounts([.. seen.Select(finding => finding.Bounces)], aim);
        if (bounces.Upper is { } most)
            contacts.Add(new(feedback, (int)most, null, bounces, aim, Duration.Zero));
        else
            not.Add(new($"{name} bounces", LimitWords.Of(bounces, aim, Duration.Zero)));
        var settles = ToleranceLimits.Above([.. seen.Select(finding => (double)finding.SettleTime!.Value.Picoseconds)], resolution.Picoseconds, aim);
        if (settles.Upper is { } last)
            contacts.Add(new(feedback, null, Duration.Max(new Duration((long)Math.Ceiling(last)), seen.Max(finding => finding.SettleTime!.Value)) + resolution, settles, aim, resolution));
        else
            not.Add(new($"{name} settles", LimitWords.Of(settles, aim, Duration.Zero)));
    }
}
