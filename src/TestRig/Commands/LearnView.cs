using System.Collections.Immutable;
using TestRig.Bench.Learning;
using TestRig.Core.Learning;
using TestRig.Core.Statistics;

namespace TestRig.Commands;

/// <summary>Shows what was learned, and the change of the profile that it comes to.</summary>
internal sealed class LearnView(TextScreen screen)
{
    public void Refused(LearnedChannel channel) => screen.Say("REFUSED  ", $"{channel.From.Name}: {channel.Refusal}");

    public void Show(ImmutableArray<LearnedChannel> learned)
    {
        foreach (var channel in learned)
        {
            foreach (var window in channel.Windows)
                screen.Say("window   ", $"{channel.Channel.Name}: {window}.");
            foreach (var contact in channel.Contacts)
                screen.Say("contact  ", $"{channel.Channel.Name}: {contact}.");
            foreach (var kept in channel.NotLearned.GroupBy(kept => kept.Reason))
                screen.Say("kept     ", $"{channel.Channel.Name}: {string.Join(", ", kept.Select(one => one.What))}: {kept.Key}.");
        }
        var limits = learned.SelectMany(channel => channel.Windows).Select(window => window.Limits).ToList();
        if (limits.Count == 0)
            return;
        screen.Say();
        screen.Say("CAUTION  ", "All repeats are of one channel of one board: they tell how its parts repeat, not how parts of the type differ. Learn from several good boards before a narrow window condemns one.");
        var exact = limits.Count(limit => limit.Method == ToleranceMethod.Exact);
        if (exact > 0)
            screen.Say("CAUTION  ", $"{exact} of {limits.Count} delays repeated exactly: that cannot tell the spread between boards at all, and their windows are the measurement's uncertainty alone.");
        var wider = learned.SelectMany(channel => channel.Windows).Count(window => window.IsWiderSomewhere);
        if (wider > 0)
            screen.Say("CAUTION  ", $"{wider} {(wider == 1 ? "window permits" : "windows permit")} what the present one does not: look why before you take {(wider == 1 ? "it" : "them")}.");
    }

    /// <param name="file">Where the new profile was written; null where nothing was.</param>
    public void Show(WindowProposal proposal, string? file)
    {
        screen.Say();
        if (proposal.Difference.Length == 0)
        {
            screen.Say("Proposal ", "none: the profile stays as it is.");
            return;
        }
        // As it is, so that it can be applied: never folded.
        screen.SayAsIs(proposal.Difference);
        screen.Say();
        screen.Say("Proposal ", file is null
            ? "nothing was written. Review it; then --write FILE writes the new profile to another file."
            : $"the new profile is in {file}. Review it before you use it.");
    }
}
